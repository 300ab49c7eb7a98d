package journal

import (
	"fmt"
	"strings"
	"testing"
)

// One addition, lock to confirmation, to books of a day's, a farm's and ten
// large farms' seasons. Three writes are forced to the disk, so the disk decides.
func BenchmarkAppend(b *testing.B) {
	row := "2025-06-02,Heron,0.15,\n"
	for _, rows := range []int{1, 10_000, 2_000_000} {
		b.Run(fmt.Sprint(rows, " rows"), func(b *testing.B) {
			dir := farm(b, header+strings.Repeat(row, rows))
			b.ReportAllocs()
			for b.Loop() {
				add(b, dir, "\n", row)
			}
		})
	}
}
