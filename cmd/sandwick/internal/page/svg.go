// A writer for the drawings: numbers short, text escaped, no style attribute, so
// that a page works under a policy that forbids inline styles.

package page

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strconv"
	"strings"
)

// drawing collects the elements of one SVG.
type drawing struct{ b strings.Builder }

// begin starts the drawing; what it shows is said in words for those who cannot
// see it.
func (d *drawing) begin(class, words string, x, y, w, h float64) {
	fmt.Fprintf(&d.b, `<svg class="%s" role="img" aria-label="%s" viewBox="%s %s %s %s" preserveAspectRatio="xMidYMid meet">`,
		class, html.EscapeString(words), num(x), num(y), num(w), num(h))
}

func (d *drawing) end() template.HTML {
	d.b.WriteString("</svg>")
	return template.HTML(d.b.String()) // every text and number in it came through el or text
}

// el writes an element without content: its name, then pairs of attribute and value.
func (d *drawing) el(name string, attrs ...any) { d.tag(name, "/>", attrs) }

// group opens an element that close ends.
func (d *drawing) group(name string, attrs ...any) { d.tag(name, ">", attrs) }

func (d *drawing) close(name string) { d.b.WriteString("</" + name + ">") }

// text writes words at a place.
func (d *drawing) text(x, y float64, class, words string, attrs ...any) {
	d.tag("text", ">", append([]any{"x", x, "y", y, "class", class}, attrs...))
	d.b.WriteString(html.EscapeString(words))
	d.close("text")
}

func (d *drawing) tag(name, end string, attrs []any) {
	d.b.WriteString("<" + name)
	for i := 0; i+1 < len(attrs); i += 2 {
		d.b.WriteString(" " + attrs[i].(string) + `="`)
		switch v := attrs[i+1].(type) {
		case string:
			d.b.WriteString(html.EscapeString(v))
		case float64:
			d.b.WriteString(num(v))
		case int:
			d.b.WriteString(strconv.Itoa(v))
		default:
			panic("page: attribute of a kind that is not written")
		}
		d.b.WriteByte('"')
	}
	d.b.WriteString(end)
}

// num is a number to a tenth of a unit; what is not finite would spoil the whole
// drawing and is 0.
func num(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		v = 0
	}
	return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', -1, 64)
}

// path collects the commands of a path.
type path struct{ b strings.Builder }

func (p *path) move(x, y float64) { p.b.WriteString("M" + num(x) + " " + num(y)) }
func (p *path) line(x, y float64) { p.b.WriteString("L" + num(x) + " " + num(y)) }
func (p *path) shut()             { p.b.WriteByte('Z') }

// bar stands on y with a width w and its top at y1.
func (p *path) bar(x, y, w, y1 float64) {
	p.move(x, y)
	p.b.WriteString("V" + num(y1) + "h" + num(w) + "V" + num(y))
}

// arc goes round the origin at radius r to the azimuth az (degrees, clockwise
// from the top); large where that is over half a turn.
func (p *path) arc(r, az float64, large, clockwise bool) {
	x, y := polar(r, az)
	p.b.WriteString("A" + num(r) + " " + num(r) + " 0 " + flag(large) + flag(clockwise) + num(x) + " " + num(y))
}

// ring is the ground between two radii over an arc that runs clockwise, span up
// to 360 degrees.
func (p *path) ring(r0, r1, from, span float64) {
	if span >= 359.99 { // an arc whose ends meet draws nothing
		p.ring(r0, r1, from, 180)
		p.ring(r0, r1, from+180, 180)
		return
	}
	p.move(polar(r1, from))
	p.arc(r1, from+span, span > 180, true)
	p.line(polar(r0, from+span))
	if r0 > 0 {
		p.arc(r0, from, span > 180, false)
	}
	p.shut()
}

func (p *path) String() string { return p.b.String() }

func flag(on bool) string {
	if on {
		return "1 "
	}
	return "0 "
}

// polar is a place on the drawing: y runs down, azimuth 0 is up.
func polar(r, az float64) (x, y float64) {
	s, c := math.Sincos(az * math.Pi / 180)
	return r * s, -r * c
}
