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

// spread moves notes apart along the rim, keeping their order, and leaves off
// what there is no room for: the table beside the map has it all.
func spread(notes []note) []note {
	need := func(n *note) float64 { // degrees of the rim that a note takes up where it stands
		sin, cos := math.Sincos(n.at * math.Pi / 180)
		return (n.w*math.Abs(cos) + n.h*math.Abs(sin)) / labelR * 180 / math.Pi
	}
	for i := range notes {
		notes[i].at = notes[i].az
	}
	room := func() float64 {
		sum := 0.0
		for i := range notes {
			sum += need(&notes[i])
		}
		return sum
	}
	for len(notes) > 0 && room() > 340 {
		last := len(notes) - 1
		if i := slices.IndexFunc(notes, func(n note) bool { return n.leg < 0 }); i >= 0 && len(notes) > 16 {
			last = i
		}
		notes = slices.Delete(notes, last, last+1)
	}
	slices.SortStableFunc(notes, func(a, b note) int {
		return cmp.Compare(pivot.Azimuth(a.az).Norm(), pivot.Azimuth(b.az).Norm())
	})
	for range 300 {
		moved := false
		for i := range notes {
			a, b := &notes[i], &notes[(i+1)%len(notes)]
			if len(notes) < 2 {
				break
			}
			gap := math.Mod(b.at-a.at+720, 360)
			if gap > 300 { // they have passed each other
				gap -= 360
			}
			if lack := (need(a)+need(b))/2 - gap; lack > 0.2 {
				a.at -= lack / 2
				b.at += lack / 2
				moved = true
			}
		}
		if !moved {
			break
		}
	}
	return notes
}

// sectorText is "40° to 90°".
func sectorText(from, to float64) string {
	return fmt.Sprintf("%s° to %s°", report.DegText(from), report.DegText(to))
}
