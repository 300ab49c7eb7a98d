package soilwater

// The column: a Profile prepared for many quick steps.

import (
	"errors"
	"math"

	"sandwick/soilwater/hydraulics"
)

// Column is the ground under a cell, prepared once per soil and shared by all
// cells on it. It is never changed after NewColumn and may be used from several
// goroutines. The zero Column is not valid.
type Column struct {
	p          Profile
	n          int     // layers
	thickM     float64 // of one layer
	perThick   float64 // 1/thickM
	perRoot    float64 // 1/RootMaxM
	tew, rew   float64
	compensate float64 // 1/CompensationLimit
	abstract   float64 // rain at which runoff begins, mm; +Inf without a curve number
	curved     bool    // every horizon has hydraulics: the table feeds the column
	top, base  [MaxLayers]float64
	fc, wp     [MaxLayers]float64 // drained content and wilting point of each layer, mm
	stress     []stressCurve      // by layer, only with Profile.Stress
	depth      *depthTable        // by depth of the water table; nil without curves
}

// NewColumn checks a profile and prepares it. The error lists everything that
// is wrong.
func NewColumn(p Profile) (*Column, error) {
	if err := p.validate(); err != nil {
		return nil, err
	}
	p.Horizons = append([]Horizon(nil), p.Horizons...)
	for i, h := range p.Horizons {
		p.Horizons[i].ThetaFC, p.Horizons[i].ThetaWP = p.contents(h)
	}
	if p.Curves == nil {
		p.Curves = new(hydraulics.Curves)
	}
	c := &Column{p: p, n: p.Layers, thickM: p.RootMaxM / float64(p.Layers)}
	c.perThick, c.perRoot = 1/c.thickM, 1/p.RootMaxM
	c.tew, c.rew = p.evaporable()
	c.setLimit(p.CompensationLimit)
	c.abstract = math.Inf(1)
	if !math.IsNaN(p.CurveNumber) {
		c.abstract = 0.2 * (25400/p.CurveNumber - 254)
	}
	c.curved = true
	for _, h := range p.Horizons {
		c.curved = c.curved && h.Hydraulics != nil
	}
	for i := range c.n {
		c.top[i] = float64(i) * c.thickM
		c.base[i] = float64(i+1) * c.thickM
		p.pieces(c.top[i], c.base[i], func(j int, top, base float64) {
			c.fc[i] += 1000 * p.Horizons[j].ThetaFC * (base - top)
			c.wp[i] += 1000 * p.Horizons[j].ThetaWP * (base - top)
		})
	}
	if p.Stress != nil {
		c.stress = newStressCurves(c)
	}
	if c.curved {
		c.depth = newDepthTable(c)
	}
	return c, nil
}

func (c *Column) setLimit(limit float64) {
	c.p.CompensationLimit = limit
	c.compensate = 1 / limit
}

// pieces calls f for each stretch between two depths that lies in one horizon j.
func (p *Profile) pieces(top, base float64, f func(j int, top, base float64)) {
	for i, h := range p.Horizons {
		bottom := h.BottomM
		if i == len(p.Horizons)-1 {
			bottom = max(bottom, base)
		}
		if a, b := max(top, h.TopM), min(base, bottom); b > a {
			f(i, a, b)
		}
	}
}

// Profile returns what the column was made from, with the drained contents and
// wilting points that were taken from curves filled in.
func (c *Column) Profile() Profile { return c.p }

// WithCompensation is the same ground with another compensation limit (1 to
// 1000): the ends of an honest range are 1 and 20. It is cheap.
func (c *Column) WithCompensation(limit float64) *Column {
	v := *c
	v.setLimit(min(max(limit, 1), 1000))
	return &v
}

// WithTableOffset is the same ground with offset m added to every depth of the
// water table (positive: deeper, drier). It is cheap. The State of one fits
// the other.
func (c *Column) WithTableOffset(offset float64) *Column {
	v := *c
	v.p.TableOffsetM = offset
	return &v
}

// WithReach is the same ground with the curve of its deepest horizon scaled to
// a reach (hydraulics.VanGenuchten.WithReach), and those of the others by as
// much: what is not known is how far this ground lifts water, not how its
// horizons differ. Drained content and wilting point stay, so the State of one
// fits the other. It is an error without a curve, and for a reach that is not
// possible. It costs half a millisecond in ground of one soil.
func (c *Column) WithReach(reach float64) (*Column, error) {
	if !c.curved {
		return nil, errors.New("reach: this ground has no curve to be scaled")
	}
	if err := hydraulics.CheckReach(reach); err != nil {
		return nil, err
	}
	factor := reach / c.ReachM()
	p := c.p
	p.TEWMM, p.REWMM = c.tew, c.rew
	p.Horizons = append([]Horizon(nil), p.Horizons...)
	for i := range p.Horizons {
		h := &p.Horizons[i]
		v := h.Hydraulics.Lengthened(factor)
		h.Hydraulics = &v
	}
	return NewColumn(p)
}

// ReachM is the reach of the soil in which the bottom of the column stands, m;
// NaN without a curve.
func (c *Column) ReachM() float64 {
	if !c.curved {
		return math.NaN()
	}
	h := c.p.Horizons[0]
	for _, next := range c.p.Horizons {
		if next.TopM < c.p.RootMaxM {
			h = next
		}
	}
	return c.p.Curves.Reach(*h.Hydraulics)
}
