package table

import (
	"slices"
	"strings"
	"testing"
)

func TestTable(t *testing.T) {
	tab := New(Words("zone"), Numbers("gone", "in"), Words("why"))
	tab.Row("Ridge", "0.75", "dry")
	tab.Row("Grüne Senke", "-", "fed from below")
	want := `zone         gone  why
               in
Ridge        0.75  dry
Grüne Senke     -  fed from below
`
	if got := tab.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestTableWithoutRows(t *testing.T) {
	if got := New(Words("zone")).String(); got != "" {
		t.Errorf("got %q", got)
	}
}

func TestTableWrapsLastColumn(t *testing.T) {
	tab := New(Words("zone"), Words("why"))
	tab.Indent = 2
	tab.Row("Ridge", strings.Repeat("word ", 30))
	for i, line := range strings.Split(strings.TrimSuffix(tab.String(), "\n"), "\n") {
		if len(line) > Width {
			t.Errorf("line %d is %d wide: %q", i, len(line), line)
		}
		if line != strings.TrimRight(line, " ") {
			t.Errorf("line %d ends in a space: %q", i, line)
		}
		if i > 1 && !strings.HasPrefix(line, strings.Repeat(" ", 9)+"word") {
			t.Errorf("line %d does not hang under the column: %q", i, line)
		}
	}
}

func TestRowPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	New(Words("zone")).Row("a", "b")
}

func TestWrap(t *testing.T) {
	for _, tt := range []struct {
		text  string
		width int
		want  []string
	}{
		{"", 5, []string{""}},
		{"one two", 7, []string{"one two"}},
		{"one two", 6, []string{"one", "two"}},
		{"incomprehensible word", 6, []string{"incomprehensible", "word"}},
	} {
		if got := Wrap(tt.text, tt.width); !slices.Equal(got, tt.want) {
			t.Errorf("Wrap(%q, %d) = %q, want %q", tt.text, tt.width, got, tt.want)
		}
	}
}
