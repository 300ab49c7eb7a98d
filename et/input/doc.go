// Package input is the edge where text becomes numbers: positions in files,
// problems that can be shown to a person, rows of comma-separated files, and
// the conversion of columns and keys that carry their unit as a suffix. It
// takes io.Readers and opens nothing itself.
package input
