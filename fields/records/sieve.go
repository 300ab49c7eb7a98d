// The rows of a table that new ones are held against, found without parsing the
// others: lines are told apart, dates and names compared, as bytes.

package records

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/golang-sql/civil"
)

const (
	// blockBytes is how much of a file is looked at in one go.
	blockBytes = 256 << 10
	// overBytes is how long a line may be that runs over the end of a block.
	overBytes = 4 << 10
	// leastRow is the shortest line that has a day.
	leastRow = len("20250610")
)

// sieve tells which lines of a table are wanted.
type sieve struct {
	w                *Writer
	l                *layout
	separator        byte
	name, start, end int // columns; -1: there is none
	names            [][]byte
	from, to         dayStamp // the days wanted
	most             int      // bytes of rows, the last of many, that will do; 0: all are wanted
	longest          int      // days that a pass takes at most of which the end is not written; -1: not known

	newest  atomic.Uint64 // dayStamp of the latest day that a row is about
	endless atomic.Bool   // a pass was seen that may take for ever
	enough  atomic.Bool   // rows further up are not wanted
}

// dayStamp is a date by its digits, so that later days have larger ones.
type dayStamp = uint64

// stampOf gives that of a text that begins with a date, 2025-06-10 or 20250610; that
// its digits are those of a day is not looked at.
func stampOf(text []byte) (dayStamp, bool) {
	if len(text) < len("2025-06-10") {
		return 0, false
	}
	s := binary.BigEndian.Uint64(text)
	if s&0xff0000ff == '-'<<24|'-' {
		return s>>32<<32 | s>>8&0xffff<<16 | uint64(binary.BigEndian.Uint16(text[8:])), true
	}
	return s, s&0xf0f0f0f0f0f0f0f0 == 0x3030303030303030
}

func stampOfDay(d civil.Date) dayStamp {
	s, _ := stampOf([]byte(d.String()))
	return s
}

// dayOfStamp is the date of a stamp; not valid for that of none.
func dayOfStamp(s dayStamp) civil.Date {
	d, _ := dayIn(string(binary.BigEndian.AppendUint64(nil, s)))
	return d
}

// sieve makes the one for rows with some names, of any day.
func (w *Writer) sieve(l *layout, names []string) *sieve {
	s := &sieve{
		w: w, l: l, separator: byte(l.Separator), to: math.MaxUint64, longest: -1,
		name: l.at(nameColumns...), start: l.at("date", "start"), end: l.at("end"),
	}
	for _, name := range names {
		s.names = append(s.names, []byte(name))
	}
	hours := 0.0
	for _, m := range w.Farm.Machines {
		hours = max(hours, m.HoursAtFull*100/m.TimerMinPct)
	}
	if hours <= maxSpanHours {
		s.longest = int(hours/24) + 1
	}
	return s
}

// days has the sieve want those days only.
func (s *sieve) days(first, last civil.Date) *sieve {
	s.from, s.to = stampOfDay(first), stampOfDay(last)
	return s
}

// through is the latest day that any row is about which went through the sieve, or
// that was the latest before; not valid where that cannot be told.
func (s *sieve) through() civil.Date {
	if s.endless.Load() {
		return civil.Date{}
	}
	return dayOfStamp(s.newest.Load())
}

// all goes through whole lines, but for the end of the last. It is not ok where
// lines are not rows, as quotes run on.
func (s *sieve) all(text []byte) (x lot, ok bool) {
	newest := s.newest.Load()
	quiet := s.quiet(newest)
	quotes := bytes.IndexByte(text, '"') >= 0
	wanted := len(s.names) > 0 && !s.enough.Load()
	for len(text) > 0 {
		n := bytes.IndexByte(text, '\n') + 1
		if n == 0 {
			n = len(text)
		}
		line := text[:n]
		text = text[n:]
		x.lines++
		quoted := quotes && bytes.IndexByte(line, '"') >= 0
		if quoted && bytes.Count(line, []byte{'"'})%2 != 0 {
			return x, false
		}
		if s.start < 0 || len(line) < leastRow || line[0] == '#' {
			continue
		}
		first, last, plain := s.stamps(line, quoted, quiet)
		if plain && first <= newest && last <= newest {
			if first >= s.from && first <= s.to && wanted && s.named(line, quoted) {
				x.pick(line, 2*s.most)
			}
			continue
		}
		if s.slow(line) && wanted {
			x.pick(line, 2*s.most)
		}
		if now := s.newest.Load(); now > newest {
			newest, quiet = now, s.quiet(now)
		}
	}
	if x.short {
		s.enough.Store(true)
	}
	return x, true
}

// quiet is the latest day on which a pass may begin of which the end is not written
// and that cannot be the newest.
func (s *sieve) quiet(newest dayStamp) dayStamp {
	if day := dayOfStamp(newest); s.end >= 0 && s.longest >= 0 && day.IsValid() {
		return stampOfDay(day.AddDays(-s.longest))
	}
	return 0
}

// stamps are those of the days of a row, as far as they are plain to see. Of a pass
// of which the end is not written both are of its start if that is no later than quiet.
func (s *sieve) stamps(line []byte, quoted bool, quiet dayStamp) (first, last dayStamp, plain bool) {
	p := s.cell(line, s.start, 0, quoted)
	if p < 0 {
		return 0, 0, false
	}
	first, plain = stampOf(begin(line[p:]))
	if !plain || s.end < 0 {
		return first, first, plain
	}
	switch {
	case s.end < s.start:
		p = s.cell(line, s.end, 0, quoted)
	case quoted:
		p = s.cell(line, s.end-s.start, p, quoted)
	default:
		p = s.cell(line, s.end-s.start, p+len("20250610"), quoted)
	}
	if p < 0 {
		return 0, 0, false
	}
	text := begin(line[p:])
	if last, plain = stampOf(text); plain {
		return first, last, true
	}
	none := len(text) == 0 || text[0] == s.separator || text[0] == '"' || text[0] == '\r' || text[0] == '\n'
	return first, first, none && first <= quiet
}

// cell is where the n-th cell after the one at p begins; the line's length where
// there is none, -1 where quotes are not plain.
func (s *sieve) cell(line []byte, n, p int, quoted bool) int {
	for range n {
		from := p
		i := bytes.IndexByte(line[p:], s.separator)
		if i < 0 {
			return len(line)
		}
		p += i + 1
		if !quoted || bytes.IndexByte(line[from:p], '"') < 0 {
			continue
		}
		// Only a cell that is all in quotes, with none in it, is plain.
		i = bytes.IndexByte(line[from+1:], '"')
		if p = from + i + 2; line[from] != '"' || i < 0 || p == len(line) || line[p] != s.separator {
			return -1
		}
		p++
	}
	return p
}

// begin is where a cell's text begins, after space and a quote.
func begin(text []byte) []byte {
	for len(text) > 0 && text[0] == ' ' {
		text = text[1:]
	}
	if len(text) > 0 && text[0] == '"' {
		return text[1:]
	}
	return text
}

// named tells whether a row is about one of the names, in whatever letter case.
func (s *sieve) named(line []byte, quoted bool) bool {
	var text []byte
	if p := s.cell(line, s.name, 0, quoted); p >= 0 {
		if q := s.cell(line, 1, p, quoted); q >= 0 {
			text = bytes.TrimSpace(bytes.TrimSuffix(line[p:q], []byte{s.separator}))
			text = bytes.TrimSpace(bytes.TrimSuffix(begin(text), []byte{'"'}))
		}
	}
	if text == nil || bytes.IndexByte(text, '"') >= 0 {
		text = []byte(cell(s.l.cells(line), s.name))
	}
	return slices.ContainsFunc(s.names, func(name []byte) bool { return bytes.EqualFold(name, text) })
}

// slow takes a row apart as readers do, counts its days and tells whether it is wanted.
func (s *sieve) slow(line []byte) bool {
	cells := s.l.cells(line)
	start := cell(cells, s.start)
	first, good := dayIn(start)
	// A row whose day cannot be read has a problem, and counts nowhere.
	if _, last, ok := s.w.span(cell(cells, s.l.at("pivot")), start, cell(cells, s.end), cell(cells, s.l.at("timer"))); ok {
		s.raise(stampOfDay(last))
	} else if good {
		s.endless.Store(true)
	}
	if day := stampOfDay(first); good && (day < s.from || day > s.to) {
		return false
	}
	return s.named(line, bytes.IndexByte(line, '"') >= 0)
}

func (s *sieve) raise(day dayStamp) {
	for {
		newest := s.newest.Load()
		if day <= newest || s.newest.CompareAndSwap(newest, day) {
			return
		}
	}
}

// file goes through the lines of a file that begin in a stretch of it, which ends
// where a line does. It is not ok where they cannot be read or are not rows. The
// last lines come first: most files are in order of time, and once the newest day
// is known little has to be looked at twice.
func (s *sieve) file(r io.ReaderAt, from, to int64) (all lot, ok bool) {
	blocks := int((to - from + blockBytes - 1) / blockBytes)
	lots := make([]lot, blocks)
	var left atomic.Int64
	var failed atomic.Bool
	left.Store(int64(blocks))
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), blocks) {
		wg.Go(func() {
			buf := make([]byte, 1+blockBytes+overBytes)
			for i := left.Add(-1); i >= 0 && !failed.Load(); i = left.Add(-1) {
				at := from + i*blockBytes
				text, ok := block(r, buf, at, from, to)
				if ok {
					lots[i], ok = s.all(text)
				}
				if !ok {
					failed.Store(true)
				}
			}
		})
	}
	wg.Wait()
	for _, x := range lots {
		all.add(x)
	}
	return all, !failed.Load()
}

// block reads the lines that begin in a block of a stretch of a file. It is not ok
// where they cannot be read or the last is too long.
func block(r io.ReaderAt, buf []byte, at, from, to int64) (text []byte, ok bool) {
	own := blockBytes
	inside := at > from
	if inside { // the end of the line before shows where the next begins
		at--
		own++
	}
	text = buf[:min(int64(len(buf)), to-at)]
	if _, err := r.ReadAt(text, at); err != nil && err != io.EOF {
		return nil, false
	}
	first := 0
	if inside {
		if first = bytes.IndexByte(text, '\n') + 1; first == 0 {
			return nil, false
		}
	}
	if own >= len(text) { // the last block
		return text[first:], true
	}
	n := bytes.IndexByte(text[own-1:], '\n')
	if n < 0 {
		return nil, false
	}
	return text[first : own+n], true
}
