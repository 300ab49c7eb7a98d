// Lines of a table, and those of them that are shown to the readers.

package records

import (
	"bytes"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"sandwick/et/input"
)

// lot is lines that were picked from others.
type lot struct {
	text    []byte
	numbers []int // of each of them among the others, from 1
	lines   int   // how many there were
	short   bool  // it holds the last of those picked only
}

// pick takes the last line. Most is how many bytes are kept; 0: all.
func (x *lot) pick(line []byte, most int) {
	x.text, x.numbers = append(x.text, line...), append(x.numbers, x.lines)
	if most > 0 && len(x.text) > most {
		x.last(most / 2)
	}
}

// last keeps the last lines, about so many bytes.
func (x *lot) last(most int) {
	if n := lineAfter(x.text, max(len(x.text)-most, 0)); len(x.text) > most {
		x.numbers = slices.Delete(x.numbers, 0, bytes.Count(x.text[:n], []byte{'\n'}))
		x.text = slices.Delete(x.text, 0, n)
		x.short = true
	}
}

// add puts the lines that follow to the others.
func (x *lot) add(more lot) {
	for _, n := range more.numbers {
		x.numbers = append(x.numbers, x.lines+n)
	}
	x.text = append(x.text, more.text...)
	x.lines += more.lines
	x.short = x.short || more.short
}

// shown is a table of which some lines are left out.
type shown struct {
	text    []byte
	leftOut int         // lines after the header, before the first that is not
	numbers lineNumbers // of the lines from there on; nil: they follow each other
}

// shown is a table of these lines, to which others may be added.
func (x lot) shown(header []byte) shown {
	above := bytes.Count(header, []byte{'\n'})
	n := make(lineNumbers, 0, len(x.numbers)+1)
	for _, i := range append(x.numbers, x.lines+1) {
		n = append(n, above+i)
	}
	out := shown{slices.Concat(header, x.text), n[0] - above - 1, n}
	if n[len(n)-1]-n[0] == len(n)-1 {
		out.numbers = nil
	}
	return out
}

// lineNumbers are those of lines in their file; what follows the last follows it there.
type lineNumbers []int

// of is the number of a line, from the one it has by the first of them.
func (n lineNumbers) of(line int) int {
	if len(n) == 0 || line < n[0] {
		return line
	}
	i := line - n[0]
	last := min(i, len(n)-1)
	return n[last] + i - last
}

// set gives the cells of a row the number of its line; by is how much that is more.
func (n lineNumbers) set(cells []*input.Cell) (by int) {
	for _, c := range cells {
		if line := n.of(c.Pos.Line); line != c.Pos.Line {
			by, c.Pos.Line = line-c.Pos.Line, line
		}
	}
	return by
}

// quotesRunOn tells whether a quote opened in one line is closed in another.
func quotesRunOn(text []byte) bool {
	for i := 0; ; {
		n := bytes.IndexByte(text[i:], '"')
		if n < 0 {
			return false
		}
		end := lineAfter(text, i+n)
		if bytes.Count(text[i:end], []byte{'"'})%2 != 0 {
			return true
		}
		i = end
	}
}

// lineAfter is where the line after that of i begins.
func lineAfter(text []byte, i int) int {
	n := bytes.IndexByte(text[i:], '\n')
	if n < 0 {
		return len(text)
	}
	return i + n + 1
}

// holds tells whether a name stands in a line, in whatever letter case. The name is
// one that [fold] gave.
func holds(line []byte, name string) bool {
	if strings.Contains(name, `"`) {
		return true // it is written otherwise
	}
	if bytes.ContainsFunc(line, func(r rune) bool { return r >= utf8.RuneSelf }) {
		return strings.Contains(fold(string(line)), name)
	}
	return bytes.Contains(bytes.ToUpper(line), []byte(name))
}

// fold brings letters to the one of their cases that comes first, so that texts
// are alike where [strings.EqualFold] finds them so.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		first := r
		for f := unicode.SimpleFold(r); f != r; f = unicode.SimpleFold(f) {
			first = min(first, f)
		}
		return first
	}, s)
}
