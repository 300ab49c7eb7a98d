package journal

import (
	"context"
	"os"
	"strings"
	"testing"
)

// What was seen of a table holds no longer than the table stands as it was.
func TestPartOfAChangingTable(t *testing.T) {
	const row = "2025-06-02,Heron,0.15,\n"
	dir := farm(t, header+strings.Repeat(row, 100))
	var seen Mark
	if !ShowPart(dir, book, 500, func(p *Part) {
		seen = p.Mark
		if p.Marked || p.Size() != int64(len(header)+100*len(row)) || (p.Offset-int64(len(header)))%int64(len(row)) != 0 || len(p.Rest) > 500 {
			t.Errorf("%+v", p)
		}
	}) {
		t.Fatal("a table that nobody touches is not shown")
	}
	hand := func() {
		f, err := os.OpenFile(dir+"/"+book, os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if _, err := f.WriteString(row); err != nil {
			t.Fatal(err)
		}
	}
	if ShowPart(dir, book, 500, func(*Part) { hand() }) {
		t.Error("the table changed while it was shown, and that was not told")
	}
	// A mark of how the table was, when the row comes to be added.
	add := func() {
		t.Helper()
		j, err := Open(context.Background(), dir)
		if err != nil {
			t.Fatal(err)
		}
		defer j.Close()
		if err := j.Append(book, "\n", row, nil, &seen); err != nil {
			t.Fatal(err)
		}
	}
	add()
	if p, ok := ReadPart(dir, book); ok {
		t.Errorf("a mark of another table was kept: %+v", p.Mark)
	}
	ShowPart(dir, book, 500, func(p *Part) { seen = p.Mark })
	add()
	if p, ok := ReadPart(dir, book); !ok || !p.Marked || p.Offset != seen.Offset {
		t.Errorf("%v %+v, want %+v", ok, p.Mark, seen)
	}
	if ShowPart(dir, book, 5000, func(*Part) {}) != true {
		t.Error("by its mark a table of any size is shown")
	}
	hand()
	if ShowPart(dir, book, 5000, func(*Part) {}) {
		t.Error("a small one without a mark is shown")
	}
}
