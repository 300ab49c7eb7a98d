// The state of the ground in four grades, each with a pattern of its own: sand
// dots thicken as the ground dries, level lines stand for ground fed from below.

package page

import "html/template"

// state is how a cell stands.
type state uint8

const (
	full  state = iota // less than half way to its trigger
	lower              // more than half way
	due                // at its trigger or past it
	fed                // the water table feeds it, and it is not due
	states
)

// stateOf grades a cell.
func stateOf(c *Cell, fedZone bool) state {
	switch {
	case c.DepletionMM >= c.TriggerMM:
		return due
	case fedZone:
		return fed
	case c.DepletionMM >= c.TriggerMM/2:
		return lower
	}
	return full
}

// words are what the key says.
func (s state) words() string {
	return [...]string{"less than half way to its trigger", "more than half way", "at its trigger or past it: due", "fed by the water table"}[s]
}

func (s state) class() string { return [...]string{"g-full", "g-lower", "g-due", "g-fed"}[s] }

// dots are the places of the sand grains within a tile of 24: few, then many.
var dots = [...][]struct{ x, y, r float64 }{
	lower: {{5, 6, 1.7}, {17, 15, 1.5}},
	due:   {{3, 4, 2.4}, {12, 2, 1.9}, {20, 7, 2.4}, {7, 11, 2}, {15, 13, 2.4}, {2, 19, 2}, {11, 20, 2.4}, {20, 20, 2}},
}

// patterns are the fills that the drawings of a page share.
func patterns() template.HTML {
	var d drawing
	d.group("svg", "class", "shared", "width", 0, "height", 0, "aria-hidden", "true")
	d.group("defs")
	for s := range states {
		size := 24.0
		if s == fed {
			size = 12
		}
		d.group("pattern", "id", s.class(), "width", size, "height", size, "patternUnits", "userSpaceOnUse")
		d.el("rect", "class", "base "+s.class(), "width", size, "height", size)
		switch s {
		case fed:
			d.el("path", "class", "level", "d", "M0 6H12")
		case lower, due:
			for _, g := range dots[s] {
				d.el("circle", "class", "grain", "cx", g.x, "cy", g.y, "r", g.r)
			}
		}
		d.close("pattern")
	}
	d.group("pattern", "id", "g-no", "width", 5, "height", 5, "patternUnits", "userSpaceOnUse", "patternTransform", "rotate(45)")
	d.el("path", "class", "bars", "d", "M0 0V5")
	d.close("pattern")
	d.close("defs")
	d.close("svg")
	return template.HTML(d.b.String())
}

// legend is the key to the states.
type legendItem struct {
	Swatch template.HTML
	Words  string
}

func legend() []legendItem {
	list := []legendItem{}
	for _, s := range []state{full, lower, due, fed} {
		var d drawing
		d.begin("swatch", s.words(), 0, 0, 48, 28)
		d.el("rect", "x", 1, "y", 1, "width", 46, "height", 26, "fill", "url(#"+s.class()+")", "class", "edge")
		list = append(list, legendItem{d.end(), s.words()})
	}
	return list
}
