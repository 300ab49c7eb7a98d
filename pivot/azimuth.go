// Azimuth arithmetic: everything that goes round the compass.

package pivot

import "math"

// Azimuth is a compass direction in degrees clockwise from true north,
// 0 <= a < 360. Zero is north. Any finite value is understood; [Azimuth.Norm]
// brings it into range.
type Azimuth float64

// Norm is the same direction in 0 <= a < 360. NaN and infinities give NaN.
func (a Azimuth) Norm() Azimuth {
	if a >= 0 && a < 360 {
		return a + 0 // + 0 turns -0 into 0
	}
	d := math.Mod(float64(a), 360)
	if d < 0 {
		d += 360
	}
	if d >= 360 { // a tiny negative angle rounds up to a whole turn
		d = 0
	}
	return Azimuth(d + 0)
}

// Clockwise is how far the arm turns clockwise from a to b, degrees, 0 <= d < 360.
func (a Azimuth) Clockwise(b Azimuth) float64 {
	return float64((b.Norm() - a.Norm()).Norm())
}

// Add turns a clockwise by deg, or anticlockwise where deg is negative.
func (a Azimuth) Add(deg float64) Azimuth { return (a + Azimuth(deg)).Norm() }

// Rad is the direction in radians clockwise from north.
func (a Azimuth) Rad() float64 { return float64(a) * math.Pi / 180 }

// Arc runs clockwise from From to To. From == To is the full circle; so is 0 to
// 360. The zero Arc is therefore the full circle from north.
type Arc struct{ From, To Azimuth }

// Swept is the arc that the arm covers on the way from one azimuth to another.
// from == to is a full turn.
func Swept(from, to Azimuth, clockwise bool) Arc {
	if clockwise {
		return Arc{from.Norm(), to.Norm()}
	}
	return Arc{to.Norm(), from.Norm()}
}

// Span is the arc's extent, degrees, 0 < s <= 360.
func (c Arc) Span() float64 {
	if s := c.From.Clockwise(c.To); s != 0 {
		return s
	}
	return 360
}

// Full reports whether the arc is the whole circle.
func (c Arc) Full() bool { return c.From.Norm() == c.To.Norm() }

// Contains reports whether a lies on the arc, both ends included.
func (c Arc) Contains(a Azimuth) bool {
	return c.Full() || c.From.Clockwise(a) <= c.From.Clockwise(c.To)
}

// Mid is the azimuth half way along the arc.
func (c Arc) Mid() Azimuth { return c.From.Add(c.Span() / 2) }

// Shared is how many degrees two arcs have in common, 0..360.
func (c Arc) Shared(d Arc) float64 {
	// With c laid from 0 to s, d covers [t, t+e] and, past a whole turn, [t-360, t+e-360].
	s, t, e := c.Span(), c.From.Clockwise(d.From), d.Span()
	return max(0, min(s, t+e)-t) + max(0, min(s, t+e-360))
}
