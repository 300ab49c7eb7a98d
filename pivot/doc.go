// Package pivot is the machine: where it stands, what it covers, how fast it
// walks and how much water it leaves. Sub-package runplan decides when to run.
package pivot
