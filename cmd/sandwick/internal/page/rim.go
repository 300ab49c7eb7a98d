// The rim: the legs of a pass outside the circle. The band of a wet leg is as
// thick as its water is deep; a dry leg is a broken line.

package page

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot"
)

const (
	bandR  = rimR + 10
	bandW  = 46.0
	labelR = bandR + bandW + 38
)

// note is something written round the rim.
type note struct {
	az, at float64 // where it belongs, and where there is room, degrees
	w, h   float64
	leg    int // index; -1 a boundary
	words  [2]string
}

// rim draws the legs and writes azimuths, timers and depths round them.
func (v *view) rim(d *drawing, pass *report.Pass) {
	deepest := 0.0
	for i := range pass.Legs {
		if l := &pass.Legs[i]; l.Water {
			deepest = math.Max(deepest, float64(l.GrossMM))
		}
	}
	notes := []note{}
	cw := pass.Direction != "ccw"
	for i := range pass.Legs {
		l := &pass.Legs[i]
		arc := pivot.Swept(pivot.Azimuth(l.FromDeg), pivot.Azimuth(l.ToDeg), cw)
		from, span := float64(arc.From), arc.Span()
		var p path
		n := note{leg: i, az: from + span/2, w: 104, h: 74}
		if l.Water && deepest > 0 {
			p.ring(bandR, bandR+max(4, bandW*float64(l.GrossMM)/deepest), from, span)
			d.el("path", "class", "wet", "d", p.String())
			n.words = [2]string{report.TimerText(float64(l.TimerPct)) + "%", units.Depth.Format(v.s, float64(l.GrossMM)) + " " + units.Depth.Unit(v.s)}
		} else {
			p.move(polar(bandR+4, from))
			if span > 359.9 {
				p.arc(bandR+4, from+180, false, true)
			}
			p.arc(bandR+4, from+span, span > 180 && span < 359.9, true)
			d.el("path", "class", "dry", "d", p.String())
			n.words = [2]string{"dry", report.TimerText(float64(l.TimerPct)) + "%"}
			n.w = 84
		}
		notes = append(notes, n, note{leg: -1, az: float64(l.FromDeg), w: 70, h: 40, words: [2]string{report.DegText(float64(l.FromDeg)) + "°"}})
	}
	if stop := float64(pass.StopDeg); !slices.ContainsFunc(notes, func(n note) bool { return n.leg < 0 && math.Abs(math.Remainder(n.az-stop, 360)) < 0.5 }) {
		notes = append(notes, note{leg: -1, az: stop, w: 70, h: 40, words: [2]string{report.DegText(stop) + "°"}})
	}
	for _, n := range spread(notes) {
		x, y := polar(labelR, n.at)
		sin, cos := math.Sincos(n.at * math.Pi / 180)
		x += sin * n.w * 0.42 // pushed out by its own size, so that none touches the band
		y += -cos * (n.h*0.5 - 20)
		if n.leg < 0 {
			leader(d, n.az, bandR-6, x, y, n.w/2, n.h/2-4)
			d.text(x, y+10, "az", n.words[0])
			continue
		}
		leader(d, n.az, bandR+bandW+4, x, y, n.w/2, n.h/2-4)
		d.text(x, y-2, "tm", n.words[0])
		d.text(x, y+28, "dp", n.words[1])
	}
}

// leader is a line from a place on the rim to the edge of the label at x, y, if
// there is any way between them.
func leader(d *drawing, az, r, x, y, halfW, halfH float64) {
	x0, y0 := polar(r, az)
	dx, dy := x-x0, y-y0
	t := 1.0 // share of the way at which the line meets the label's box
	if dx != 0 {
		t = math.Min(t, halfW/math.Abs(dx))
	}
	if dy != 0 {
		t = math.Min(t, halfH/math.Abs(dy))
	}
	var p path
	p.move(x0, y0)
	if r < bandR { // a boundary crosses the band before it turns to its label
		x0, y0 = polar(bandR+bandW+6, az)
		p.line(x0, y0)
		dx, dy = x-x0, y-y0
		t = 1
		if dx != 0 {
			t = math.Min(t, halfW/math.Abs(dx))
		}
		if dy != 0 {
			t = math.Min(t, halfH/math.Abs(dy))
		}
	}
	if way := (1 - t) * math.Hypot(dx, dy); way > 8 {
		p.line(x-t*dx, y-t*dy)
	} else if r >= bandR {
		return
	}
	d.el("path", "class", "tick", "d", p.String())
}

// spread moves notes apart along the rim as little as it takes, keeping their
// order, and leaves off what there is no room for: the table beside the map has
// it all.
func spread(notes []note) []note {
	const most = 340 // degrees that notes may take up in all
	for len(notes) > 1 {
		slices.SortStableFunc(notes, func(a, b note) int {
			return cmp.Compare(pivot.Azimuth(a.az).Norm(), pivot.Azimuth(b.az).Norm())
		})
		place(notes)
		room := 0.0
		for i := range notes {
			room += notes[i].need()
		}
		if span := notes[len(notes)-1].at - notes[0].at; room <= most && span+notes[0].need()/2+notes[len(notes)-1].need()/2 <= 360 {
			return notes
		}
		last := len(notes) - 1
		if i := slices.IndexFunc(notes, func(n note) bool { return n.leg < 0 }); i >= 0 {
			last = i
		}
		notes = slices.Delete(notes, last, last+1)
	}
	for i := range notes {
		notes[i].at = notes[i].az
	}
	return notes
}

// need is how many degrees of the rim a note takes up where it stands: it is
// wider than high.
func (n *note) need() float64 {
	sin, cos := math.Sincos(n.at * math.Pi / 180)
	return (n.w*math.Abs(cos) + n.h*math.Abs(sin)) / labelR * 180 / math.Pi
}

// place gives each of the sorted notes a place with room, nearest to where it
// belongs in the sense of least squares: isotonic regression by pooling adjacent
// violators, of the places less the room that the notes before need. The circle is
// cut open in its widest gap, and what a note needs is taken where it stood the
// last time round.
func place(notes []note) {
	cut, widest := 0, -1.0
	for i := range notes {
		before := notes[(i+len(notes)-1)%len(notes)].az
		if gap := pivot.Azimuth(before).Clockwise(pivot.Azimuth(notes[i].az)); gap > widest {
			cut, widest = i, gap
		}
	}
	turned := slices.Concat(notes[cut:], notes[:cut])
	copy(notes, turned)
	first := notes[0].az
	want := make([]float64, len(notes))
	for i := range notes {
		want[i] = first + pivot.Azimuth(first).Clockwise(pivot.Azimuth(notes[i].az))
		notes[i].at = want[i]
	}
	type pool struct {
		mean float64
		n    int
	}
	for range 4 {
		before := make([]float64, len(notes)) // room needed from the first note's middle to this one's
		for i := 1; i < len(notes); i++ {
			before[i] = before[i-1] + (notes[i-1].need()+notes[i].need())/2
		}
		pools := []pool{}
		for i := range notes {
			pools = append(pools, pool{want[i] - before[i], 1})
			for k := len(pools) - 1; k > 0 && pools[k-1].mean > pools[k].mean; k-- {
				a, b := pools[k-1], pools[k]
				pools[k-1] = pool{(a.mean*float64(a.n) + b.mean*float64(b.n)) / float64(a.n+b.n), a.n + b.n}
				pools = pools[:k]
			}
		}
		i := 0
		for _, p := range pools {
			for range p.n {
				notes[i].at = p.mean + before[i]
				i++
			}
		}
	}
}

// sectorText is "40° to 90°".
func sectorText(from, to float64) string {
	return fmt.Sprintf("%s° to %s°", report.DegText(from), report.DegText(to))
}
