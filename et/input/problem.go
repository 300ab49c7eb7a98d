// Where something is wrong in an input file, and how that is told.

package input

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Pos is a place in a text file. Line and Column count from 1, Column in
// bytes; 0 means "the whole line" or "the whole file". The zero Pos is nowhere.
type Pos struct {
	File         string
	Line, Column int
}

// String gives file:line:col, leaving out what is zero; a line without a file
// gives "line 3" or "line 3, column 5".
func (p Pos) String() string {
	switch {
	case p.File == "" && p.Line == 0:
		return ""
	case p.File == "" && p.Column == 0:
		return "line " + strconv.Itoa(p.Line)
	case p.File == "":
		return fmt.Sprintf("line %d, column %d", p.Line, p.Column)
	case p.Line == 0:
		return p.File
	case p.Column == 0:
		return p.File + ":" + strconv.Itoa(p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// WholeLine is the line that p stands on.
func (p Pos) WholeLine() Pos {
	p.Column = 0
	return p
}

// Compare orders positions by file, line and column.
func (p Pos) Compare(q Pos) int {
	return cmp.Or(
		strings.Compare(p.File, q.File),
		cmp.Compare(p.Line, q.Line),
		cmp.Compare(p.Column, q.Column),
	)
}

// Problem is one thing wrong in an input file.
type Problem struct {
	Pos
	Field string // column or key, as it stands in the file; may be empty
	Got   string // the text found, may be empty
	Msg   string // what is wrong and what would be accepted
}

// maxGot is how much of the text found is shown: enough to recognise it, short
// enough for one line of a terminal.
const maxGot = 40

// Error gives `file:line:col: field: msg (got "text")`, leaving out what is empty.
func (p Problem) Error() string {
	var b strings.Builder
	if at := p.Pos.String(); at != "" {
		b.WriteString(at)
		b.WriteString(": ")
	}
	if p.Field != "" {
		b.WriteString(p.Field)
		b.WriteString(": ")
	}
	b.WriteString(p.Msg)
	if p.Got != "" {
		b.WriteString(" (got ")
		b.WriteString(strconv.Quote(shorten(p.Got, maxGot)))
		b.WriteString(")")
	}
	return b.String()
}

// String is Error.
func (p Problem) String() string { return p.Error() }

// shorten cuts s to n runes and says so with an ellipsis.
func shorten(s string, n int) string {
	if utf8.RuneCountInString(s) <= n {
		return s
	}
	return string([]rune(s)[:n]) + "…"
}

// Problems collects everything wrong; the zero Problems is ready to use.
type Problems []Problem

// MaxPrinted is how many problems Problems.Error prints before "(and N more)".
const MaxPrinted = 20

// Error gives one line for each problem, in the order held, at most
// [MaxPrinted] of them and then "(and N more)".
func (ps Problems) Error() string {
	var b strings.Builder
	for i, p := range ps {
		if i > 0 {
			b.WriteByte('\n')
		}
		if i == MaxPrinted {
			fmt.Fprintf(&b, "(and %d more)", len(ps)-i)
			break
		}
		b.WriteString(p.Error())
	}
	return b.String()
}

// Err gives ps as an error, or nil when there is none: a Problems stored in an
// error is never nil, so return Err() and not the slice.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}

// Sort puts the problems in order of file, line and column; those of one place
// stay in the order in which they were found.
func (ps Problems) Sort() {
	slices.SortStableFunc(ps, func(a, b Problem) int { return a.Pos.Compare(b.Pos) })
}

// Add appends a problem; the message is formatted as by fmt.Sprintf.
func (ps *Problems) Add(at Pos, field, got, format string, args ...any) {
	*ps = append(*ps, Problem{Pos: at, Field: field, Got: got, Msg: fmt.Sprintf(format, args...)})
}

// AddError appends err: a Problem or Problems as it is, anything else as a
// message at the given place. A nil error adds nothing.
func (ps *Problems) AddError(at Pos, field, got string, err error) {
	if err == nil {
		return
	}
	if one, ok := errors.AsType[Problem](err); ok {
		*ps = append(*ps, one)
		return
	}
	if many, ok := errors.AsType[Problems](err); ok {
		*ps = append(*ps, many...)
		return
	}
	*ps = append(*ps, Problem{Pos: at, Field: field, Got: got, Msg: err.Error()})
}
