// The circle: ground under the machine to scale, zone by zone and cell by cell,
// the arm where it stands.

package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// The drawing's own units: the wetted ground reaches rimR, legs lie outside it.
const (
	rimR   = 300.0
	halfW  = 516.0
	halfH  = 470.0
	chordM = 0.5 // how far a drawn edge may leave the true one, m: under a hair's breadth
)

// circle draws one machine. id is unique on the page.
func (v *view) circle(id string, m *Pivot, pass *report.Pass) template.HTML {
	c := chart{plane: pivot.NewPlane(m.Machine.Center)}
	outline := m.Machine.Outline(stopsOf(m.Machine), chordM)
	for _, q := range outline[0] {
		xy := c.plane.ToPlane(q)
		c.reachM = max(c.reachM, math.Hypot(xy[0], xy[1]))
	}
	c.scale = rimR / c.reachM

	d := &c.drawing
	d.begin("circle", v.circleWords(m, pass), -halfW, -halfH, 2*halfW, 2*halfH)
	d.group("defs")
	d.group("clipPath", "id", id)
	d.el("path", "d", c.rings(outline))
	d.close("clipPath")
	for z := range m.Zones {
		d.group("clipPath", "id", fmt.Sprintf("%s-%d", id, z), "clip-path", "url(#"+id+")")
		d.el("path", "d", c.areas(m.Zones[z].Area), "clip-rule", "evenodd")
		d.close("clipPath")
	}
	d.close("defs")
	d.el("path", "class", "bare", "d", c.rings(outline))
	for z := range m.Zones {
		c.ground(id, z, m)
	}
	d.group("g", "clip-path", "url(#"+id+")")
	for z := range m.Zones {
		d.el("path", "class", "zone", "d", c.areas(m.Zones[z].Area))
	}
	d.close("g")
	d.el("path", "class", "outline", "d", c.rings(outline))
	if pass != nil {
		v.rim(d, pass)
	}
	c.arm(m, pass)
	for z := range m.Zones {
		c.label(v, m, z)
	}
	c.north()
	c.ruler(v.s)
	return d.end()
}

func stopsOf(m *pivot.Machine) pivot.Arc {
	if m.Stops != nil {
		return *m.Stops
	}
	return pivot.Arc{}
}

// circleWords says what the drawing shows.
func (v *view) circleWords(m *Pivot, pass *report.Pass) string {
	words := fmt.Sprintf("Map of %s: arm at %s degrees", m.Machine.Name, report.DegText(float64(m.Arm)))
	if pass != nil {
		words += fmt.Sprintf("; the next pass in %d legs from %s to %s degrees", len(pass.Legs), report.DegText(float64(pass.StartDeg)), report.DegText(float64(pass.StopDeg)))
	}
	return words + ". The tables beside and below it say the same in numbers."
}

// chart is a drawing with a scale.
type chart struct {
	drawing
	plane  pivot.Plane
	scale  float64 // units per metre
	reachM float64
}

func (c *chart) at(q orb.Point) (x, y float64) {
	xy := c.plane.ToPlane(q)
	return xy[0] * c.scale, -xy[1] * c.scale
}

func (c *chart) rings(p orb.Polygon) string {
	var out path
	for _, ring := range p {
		lastX, lastY := math.Inf(1), 0.0
		for i, q := range ring {
			x, y := c.at(q)
			if i == 0 {
				out.move(x, y)
			} else if math.Hypot(x-lastX, y-lastY) < 0.4 {
				continue // closer than any eye
			} else {
				out.line(x, y)
			}
			lastX, lastY = x, y
		}
		out.shut()
	}
	return out.String()
}

func (c *chart) areas(mp orb.MultiPolygon) string {
	var b strings.Builder
	for _, p := range mp {
		b.WriteString(c.rings(p))
	}
	return b.String()
}

// ground fills a zone's cells, those side by side in one state together.
func (c *chart) ground(id string, z int, m *Pivot) {
	zone := &m.Zones[z]
	width := 360 / float64(m.Slices)
	c.group("g", "clip-path", fmt.Sprintf("url(#%s-%d)", id, z))
	for i := 0; i < len(zone.Cells); {
		s := stateOf(&zone.Cells[i], zone.Fed)
		j := i + 1
		for j < len(zone.Cells) && zone.Cells[j].Slice == zone.Cells[j-1].Slice+1 && stateOf(&zone.Cells[j], zone.Fed) == s {
			j++
		}
		var p path
		from := float64(zone.Cells[i].Slice) * width
		span := float64(zone.Cells[j-1].Slice+1)*width - from
		// A hair wider on both sides, so that no seam shows; the next one covers it.
		p.ring(0, rimR*1.1, from-0.1, min(360, span+0.2))
		c.el("path", "d", p.String(), "fill", "url(#"+s.class()+")")
		i = j
	}
	c.close("g")
}

// arm draws the machine's truss from the pivot point to its end, with the wheel
// track of its outer end a little way in the direction of the pass.
func (c *chart) arm(m *Pivot, pass *report.Pass) {
	az := float64(m.Arm.Norm())
	end := m.Machine.LengthM * c.scale
	c.group("g", "class", "arm", "transform", "rotate("+num(az)+")")
	c.el("path", "class", "truss-back", "d", fmt.Sprintf("M0 0V%s", num(-end)))
	var p path
	p.move(-5, 0)
	p.line(-3, -end)
	p.line(3, -end)
	p.line(5, 0)
	const bays = 9
	for i := 0; i <= bays; i++ { // the lacing of a truss; not the number of its towers
		x := 4.0
		if i%2 == 0 {
			x = -4
		}
		if i == 0 {
			p.move(x, 0)
		} else {
			p.line(x, -end*float64(i)/bays)
		}
	}
	c.el("path", "class", "truss", "d", p.String())
	c.el("path", "class", "foot", "d", fmt.Sprintf("M-9 %sH9V%sH-9Z", num(-end+8), num(-end-4)))
	c.close("g")
	c.el("circle", "class", "hub", "r", 9)
	from := az
	if !m.BusyTo.IsZero() { // where it will stand, and start from
		from = float64(m.Stop.Norm())
		x, y := polar(end, from)
		c.el("path", "class", "stop", "d", fmt.Sprintf("M0 0L%s %s", num(x), num(y)))
	}
	if pass == nil {
		return
	}
	az = from
	turn := 1.0
	if pass.Direction == "ccw" {
		turn = -1
	}
	const r, sweep, head = rimR * 0.42, 34.0, 16.0
	p = path{}
	p.move(polar(r, az+turn*4))
	p.arc(r, az+turn*sweep, false, turn > 0)
	c.el("path", "class", "sweep", "d", p.String())
	x, y := polar(r, az+turn*sweep)
	p = path{}
	p.move(0, -head/1.6)
	p.line(head*1.3, 0)
	p.line(0, head/1.6)
	p.shut()
	heading := az + turn*sweep // a pass that runs clockwise heads to the right of the radius
	if turn < 0 {
		heading += 180
	}
	c.el("path", "class", "head", "d", p.String(), "transform", fmt.Sprintf("translate(%s %s) rotate(%s)", num(x), num(y), num(heading)))
}

// label names a zone at the place with most room around it.
func (c *chart) label(v *view, m *Pivot, z int) {
	zone := &m.Zones[z]
	name := report.ShortZone(zone.Name, m.Machine.Name)
	numbers := v.zoneNumbers(zone.Name)
	place, room := c.roomiest(zone.Area, m)
	if room <= 0 {
		return
	}
	x, y := place[0]*c.scale, -place[1]*c.scale
	class := "zn"
	if room*c.scale < 34 {
		class = "zn small"
	}
	if numbers == "" || room*c.scale < 34 {
		c.text(x, y+11, class, name)
		return
	}
	c.text(x, y-3, class, name)
	c.text(x, y+29, class+" num", numbers)
}

// roomiest looks for the point of a zone, in metres on the plane, that lies
// furthest from its edges, the rim and the arm; labels are wide, so distance
// counts more across than up.
func (c *chart) roomiest(area orb.MultiPolygon, m *Pivot) (best orb.Point, room float64) {
	const across = 0.55 // a label is about twice as wide as high
	flat := make(orb.MultiPolygon, 0, len(area))
	for _, p := range area {
		q := make(orb.Polygon, len(p))
		for i, ring := range p {
			for _, at := range ring {
				xy := c.plane.ToPlane(at)
				q[i] = append(q[i], orb.Point{xy[0] * across, xy[1]})
			}
		}
		flat = append(flat, q)
	}
	arms := []orb.LineString{}
	for _, az := range []pivot.Azimuth{m.Arm, m.Stop} {
		if x, y := polar(m.Machine.LengthM, float64(az)); az == m.Arm || !m.BusyTo.IsZero() {
			arms = append(arms, orb.LineString{{0, 0}, {x * across, -y}})
		}
	}
	const n = 36
	for i := range n {
		for j := range n {
			x := (float64(i)+0.5)/n*2*c.reachM - c.reachM
			y := (float64(j)+0.5)/n*2*c.reachM - c.reachM
			r := math.Hypot(x, y)
			rim := (m.Machine.LengthM - r) * across
			if rim <= room || !m.Machine.InStops(pivot.Azimuth(math.Atan2(x, y)*180/math.Pi)) {
				continue
			}
			at := orb.Point{x * across, y}
			if !planar.MultiPolygonContains(flat, at) {
				continue
			}
			least := rim
			for _, arm := range arms {
				least = min(least, planar.DistanceFrom(arm, at))
			}
			for _, p := range flat {
				for _, ring := range p {
					if least > room {
						least = min(least, planar.DistanceFrom(ring, at))
					}
				}
			}
			if least > room {
				best, room = orb.Point{x, y}, least
			}
		}
	}
	return best, room
}

// north marks true north.
func (c *chart) north() {
	const x, y = -halfW + 34, -halfH + 92
	c.el("path", "class", "north", "d", fmt.Sprintf("M%s %sl-11 30l11 -7l11 7z", num(x), num(y-54)))
	c.text(x, y+12, "nn", "N")
}

// ruler is a scale bar with a round number of feet or metres.
func (c *chart) ruler(s units.System) {
	perM, unit := 1.0, "m"
	if s == units.US {
		perM, unit = 1/0.3048, "ft"
	}
	length := niceBelow(c.reachM * 0.55 * perM)
	w := length / perM * c.scale
	const x, y = -halfW + 20, halfH - 20
	c.el("path", "class", "ruler", "d", fmt.Sprintf("M%s %sv10h%sv-10", num(x), num(y-8), num(w)))
	c.text(x, y-18, "rn", units.Number(length, 0)+" "+unit)
}

// niceBelow is the largest 1, 2 or 5 times a power of ten that is not above v.
func niceBelow(v float64) float64 {
	if !(v > 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{5, 2} {
		if k*p <= v {
			return k * p
		}
	}
	return p
}
