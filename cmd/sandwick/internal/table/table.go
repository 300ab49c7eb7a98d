// Package table sets text tables: columns under a name and a unit, numbers to
// the right, words to the left, and a last column of words that may run over
// several lines.
package table

import (
	"strings"
	"unicode/utf8"
)

// Width is how wide a table or a paragraph may get, in characters: what a
// terminal at its usual size and a printed sheet both hold.
const Width = 100

// gap is the space between two columns.
const gap = 2

// Column is one column of a table. The zero Column has no header and holds
// words.
type Column struct {
	Name  string // first header line
	Unit  string // second header line
	Right bool   // numbers: set to the right
}

// Words is a column of words.
func Words(name string) Column { return Column{Name: name} }

// Numbers is a column of numbers in the unit given.
func Numbers(name, unit string) Column { return Column{Name: name, Unit: unit, Right: true} }

// Table collects rows and sets them. The zero Table has no columns; fill
// Columns before adding rows.
type Table struct {
	Indent  int
	Columns []Column
	rows    [][]string
}

// New starts a table with these columns.
func New(columns ...Column) *Table { return &Table{Columns: columns} }

// Row adds one row. It panics if the number of cells is not the number of
// columns.
func (t *Table) Row(cells ...string) {
	if len(cells) != len(t.Columns) {
		panic("table: number of cells does not match the columns")
	}
	t.rows = append(t.rows, cells)
}

// Len is the number of rows.
func (t *Table) Len() int { return len(t.rows) }

// String sets the table. Every line ends in a newline and none in a space.
// A table without rows is the empty string.
func (t *Table) String() string {
	if len(t.rows) == 0 {
		return ""
	}
	names := make([]string, len(t.Columns))
	unitRow := make([]string, len(t.Columns))
	hasUnits := false
	for i, c := range t.Columns {
		names[i], unitRow[i] = c.Name, c.Unit
		hasUnits = hasUnits || c.Unit != ""
	}
	head := [][]string{names}
	if hasUnits {
		head = append(head, unitRow)
	}
	widths := make([]int, len(t.Columns))
	for _, rows := range [][][]string{head, t.rows} {
		for _, row := range rows {
			for i, cell := range row {
				widths[i] = max(widths[i], utf8.RuneCountInString(cell))
			}
		}
	}
	last := len(t.Columns) - 1
	start := t.Indent // where the last column begins
	for _, w := range widths[:last] {
		start += w + gap
	}
	var b strings.Builder
	for _, rows := range [][][]string{head, t.rows} {
		for _, row := range rows {
			t.line(&b, row, widths, start)
		}
	}
	return b.String()
}

// minLast is the narrowest that a wrapped last column gets: a table that is
// too wide already is left so.
const minLast = 24

func (t *Table) line(b *strings.Builder, row []string, widths []int, start int) {
	last := len(row) - 1
	tail := []string{row[last]}
	if !t.Columns[last].Right {
		tail = Wrap(row[last], max(Width-start, minLast))
	} else {
		tail[0] = pad(row[last], widths[last], true)
	}
	line := strings.Repeat(" ", t.Indent)
	for i, cell := range row[:last] {
		line += pad(cell, widths[i], t.Columns[i].Right) + strings.Repeat(" ", gap)
	}
	for i, words := range tail {
		if i > 0 {
			line = strings.Repeat(" ", start)
		}
		b.WriteString(strings.TrimRight(line+words, " "))
		b.WriteByte('\n')
	}
}

// pad fills text with spaces to the width given, in characters.
func pad(text string, width int, right bool) string {
	fill := strings.Repeat(" ", max(0, width-utf8.RuneCountInString(text)))
	if right {
		return fill + text
	}
	return text + fill
}

// Wrap breaks text at spaces into lines of at most width characters; a word
// longer than that has a line of its own. There is always at least one line.
func Wrap(text string, width int) []string {
	lines := []string{}
	line := ""
	for word := range strings.FieldsSeq(text) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}

// Paragraph sets text at most Width characters wide. first stands before the
// first line and as many spaces before the others.
func Paragraph(first, text string) string {
	indent := utf8.RuneCountInString(first)
	var b strings.Builder
	for i, line := range Wrap(text, Width-indent) {
		if i == 0 {
			b.WriteString(first)
		} else {
			b.WriteString(strings.Repeat(" ", indent))
		}
		b.WriteString(line)
		b.WriteByte('\n')
	}
	return b.String()
}
