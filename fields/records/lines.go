// The lines of a file that hold a name, found without reading the others.

package records

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode"
	"unicode/utf8"

	"sandwick/et/input"
)

// blankOthers empties the lines after the header that hold none of the names, in
// whatever letter case, or that keep, where it is not nil, does not want, so that
// the others keep their line numbers and little is left to be read. A text whose
// quotes run over lines stays as it is.
func blankOthers(text []byte, names []string, keep func(line []byte) bool) []byte {
	if bytes.IndexByte(text, '\n') < 0 {
		return text
	}
	header := len(input.HeaderLine(text))
	if quotesRunOn(text[header:]) {
		return text
	}
	out := append(make([]byte, 0, 1<<16), text[:header]...)
	at := header
	for _, line := range onlyWith(text[header:], names, keep) {
		from, to := header+line[0], header+line[1]
		out = append(out, bytes.Repeat([]byte{'\n'}, bytes.Count(text[at:from], []byte{'\n'}))...)
		out = append(out, text[from:to]...)
		at = to
	}
	return append(out, bytes.Repeat([]byte{'\n'}, bytes.Count(text[at:], []byte{'\n'}))...)
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

// onlyWith gives the lines, from and to, that hold one of the names in whatever
// letter case and that keep wants.
func onlyWith(text []byte, names []string, keep func(line []byte) bool) [][2]int {
	var seekers []seeker
	high := seeker{text: text, at: -1} // letters beyond ASCII, which may be another's other case
	folded := make([]string, len(names))
	for i, name := range names {
		folded[i] = fold(name)
	}
	for _, name := range folded {
		if name == "" || strings.Contains(name, `"`) { // it is written otherwise
			seekers = []seeker{{text: text, at: -1}}
			break
		}
		if name[0] < utf8.RuneSelf { // any other is found as a letter beyond ASCII
			seekers = append(seekers, newSeeker(text, name))
		}
	}
	var out [][2]int
	for at := 0; at < len(text); {
		from, sure := len(text), false
		for i := range seekers {
			if n := seekers[i].from(at); n < from {
				from, sure = n, true
			}
		}
		if n := high.fromHigh(at); n < from {
			from, sure = n, false
		}
		if from == len(text) {
			break
		}
		from = at + bytes.LastIndexByte(text[at:from], '\n') + 1
		at = lineAfter(text, from)
		line := text[from:at]
		if !sure {
			flat := fold(string(line))
			for _, name := range folded {
				sure = sure || strings.Contains(flat, name)
			}
		}
		if sure && (keep == nil || keep(line)) {
			out = append(out, [2]int{from, at})
		}
	}
	return out
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

// seeker finds a name in a text, ASCII letters in either case. Without a name it
// finds every place.
type seeker struct {
	text   []byte
	name   []byte
	at     int    // of what was found last; -1: nothing was
	cases  []byte // of the name's first letter
	firsts []int  // where each of them is next
}

func newSeeker(text []byte, name string) seeker {
	s := seeker{text: text, name: []byte(name), at: -1}
	s.cases = []byte{name[0]}
	if other := flip(name[0]); other != name[0] {
		s.cases = append(s.cases, other)
	}
	s.firsts = make([]int, len(s.cases))
	for i := range s.firsts {
		s.firsts[i] = -1
	}
	return s
}

// flip is the other case of an ASCII letter.
func flip(c byte) byte {
	if 'a' <= c|0x20 && c|0x20 <= 'z' {
		return c ^ 0x20
	}
	return c
}

// from is where the name stands next, or the length of the text.
func (s *seeker) from(at int) int {
	if s.name == nil {
		return at
	}
	if s.at >= at {
		return s.at
	}
	for i := at; ; i++ {
		next := len(s.text)
		for k, c := range s.cases {
			if s.firsts[k] < i {
				n := bytes.IndexByte(s.text[i:], c)
				if n < 0 {
					n = len(s.text) - i
				}
				s.firsts[k] = i + n
			}
			next = min(next, s.firsts[k])
		}
		if i = next; i == len(s.text) || s.here(i) {
			s.at = i
			return i
		}
	}
}

// here tells whether the name stands at i.
func (s *seeker) here(i int) bool {
	if len(s.text)-i < len(s.name) {
		return false
	}
	for k, c := range s.name {
		if got := s.text[i+k]; got != c && got != flip(c) {
			return false
		}
	}
	return true
}

// fromHigh is where the next byte beyond ASCII stands, or the length of the text.
func (s *seeker) fromHigh(at int) int {
	if s.at >= at {
		return s.at
	}
	i := at
	for ; i+8 <= len(s.text) && binary.LittleEndian.Uint64(s.text[i:])&0x8080808080808080 == 0; i += 8 {
	}
	for i < len(s.text) && s.text[i] < utf8.RuneSelf {
		i++
	}
	s.at = i
	return i
}
