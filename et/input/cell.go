// The cells that a row struct is made of: each holds its value, the text it
// came from and where that stands, so that a later complaint can point at it.

package input

import (
	"errors"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/golang-sql/civil"
)

// Cell is one cell of a table. The zero Cell is one that the file does not have.
type Cell struct {
	Pos    Pos
	Column string // as it stands in the header
	Text   string // as it stands in the file without surrounding space; empty when nothing is given
	err    error
}

// Given tells whether the cell holds anything.
func (c Cell) Given() bool { return c.Text != "" }

// Problem makes a problem of this cell.
func (c Cell) Problem(msg string) Problem {
	return Problem{Pos: c.Pos, Field: c.Column, Got: c.Text, Msg: msg}
}

// cell is what the table reader needs of every field of a row struct. gocsv
// has called UnmarshalCSV before, with the text in plain form (decimal point,
// missing codes emptied); place adds what the text alone does not tell.
type cell interface {
	UnmarshalCSV(text string) error
	place(at Cell, col *Column, loc *time.Location)
	failure() error
	given() bool
}

func (c *Cell) failure() error { return c.err }
func (c *Cell) given() bool    { return c.Text != "" }

// settle takes over position and text and keeps the error found while decoding.
func (c *Cell) settle(at Cell) {
	at.err = c.err
	*c = at
}

// Number is a cell with a number. In a column with a unit it is converted to
// the canonical unit of its dimension while Text keeps what was written.
type Number struct {
	Cell
	v    float64
	unit *Unit
}

// Unit is the unit that the column carries; the zero Unit for a column without
// one and for an absent cell.
func (n Number) Unit() Unit {
	if n.unit == nil {
		return Unit{}
	}
	return *n.unit
}

// Value is the number in the canonical unit of its dimension, or NaN when the
// cell is empty, absent or no number.
func (n Number) Value() float64 {
	if n.Text == "" || n.err != nil {
		return math.NaN()
	}
	return n.v
}

// UnmarshalCSV implements gocsv.TypeUnmarshaller. It never fails: what is
// wrong is reported with its place by the table reader.
func (n *Number) UnmarshalCSV(text string) error {
	if text != "" {
		n.v, n.err = ParseNumber(text)
	}
	return nil
}

func (n *Number) place(at Cell, col *Column, _ *time.Location) {
	n.settle(at)
	n.unit = &col.Unit
	n.v = col.Unit.ToSI(n.v)
	if errors.Is(n.err, errThousands) && !col.decimalComma {
		n.err = errors.New("not a number; a decimal comma is understood only where semicolons or tabs separate the columns, here write it like 1234.5")
	}
}

// Text is a cell with words.
type Text struct{ Cell }

// Value is the text, without surrounding space.
func (t Text) Value() string { return t.Text }

// UnmarshalCSV implements gocsv.TypeUnmarshaller.
func (t *Text) UnmarshalCSV(text string) error {
	switch {
	case !utf8.ValidString(text):
		t.err = errors.New("not UTF-8 text; save the file as UTF-8")
	case strings.ContainsFunc(text, func(r rune) bool {
		return unicode.IsControl(r) && r != '\n' && r != '\r' && r != '\t'
	}):
		t.err = errors.New("control characters in the text; take them out")
	}
	return nil
}

func (t *Text) place(at Cell, _ *Column, _ *time.Location) { t.settle(at) }

// OneOf gives the word of words that the cell holds, letter case aside. An
// empty cell gives "" and no problem; any other word is a Problem that lists them.
func (t Text) OneOf(words ...string) (string, error) {
	if t.Text == "" {
		return "", nil
	}
	for _, w := range words {
		if strings.EqualFold(w, t.Text) {
			return w, nil
		}
	}
	return "", t.Problem("unknown word; give " + OrList(words))
}

// Date is a cell with a calendar date.
type Date struct {
	Cell
	v civil.Date
}

// Value is the date, or the zero date when the cell is empty or absent.
func (d Date) Value() civil.Date { return d.v }

// UnmarshalCSV implements gocsv.TypeUnmarshaller.
func (d *Date) UnmarshalCSV(text string) error {
	if text != "" {
		d.v, d.err = ParseDate(text)
	}
	return nil
}

func (d *Date) place(at Cell, _ *Column, _ *time.Location) { d.settle(at) }

// Time is a cell with a date and a time of day on the farm's clocks.
type Time struct {
	Cell
	clock Clock
	v     time.Time
	again time.Time
}

// Value is the instant, in the location given to the reader; the zero time
// when the cell is empty or absent. When clocks are put back and show the time
// twice it is the first of the two.
func (t Time) Value() time.Time { return t.v }

// Again is the second instant at which clocks show the time written, or the
// zero time when there is none.
func (t Time) Again() time.Time { return t.again }

// Later is the cell with the second of two instants that the clocks show alike.
func (t Time) Later() Time {
	if !t.again.IsZero() {
		t.v = t.again
	}
	return t
}

// UnmarshalCSV implements gocsv.TypeUnmarshaller.
func (t *Time) UnmarshalCSV(text string) error {
	if text != "" {
		t.clock, t.err = ParseClock(text)
	}
	return nil
}

func (t *Time) place(at Cell, _ *Column, loc *time.Location) {
	t.settle(at)
	if t.err == nil && t.Text != "" {
		t.v, t.again, t.err = t.clock.In(loc)
	}
}

// YesNo is a cell with yes or no.
type YesNo struct {
	Cell
	v bool
}

// Value is true for yes; false for no and for an empty or absent cell (see Given).
func (y YesNo) Value() bool { return y.v }

// UnmarshalCSV implements gocsv.TypeUnmarshaller.
func (y *YesNo) UnmarshalCSV(text string) error {
	if text != "" {
		y.v, y.err = ParseYesNo(text)
	}
	return nil
}

func (y *YesNo) place(at Cell, _ *Column, _ *time.Location) { y.settle(at) }
