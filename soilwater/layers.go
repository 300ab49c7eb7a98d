package soilwater

// The layered day: each layer its own water, full content, climb and roots.

import "math"

// rooting is the share of the roots in each layer and the part of the layer
// they occupy.
type rooting struct {
	share  [MaxLayers]float64 // sums to 1
	rooted [MaxLayers]float64 // 0 to 1
}

// cumulativeRoots is the part of all roots above the quarters of the rooting
// depth: 40, 30, 20 and 10 %, a common assumption (no published source).
var cumulativeRoots = [6]float64{0, 0.4, 0.7, 0.9, 1, 1}

// roots distributes the roots over the fixed layers by integrating the
// distribution over each.
func (c *Column) roots(zr float64, r *rooting) {
	inv := 4 / zr
	above := 0.0
	for i := range c.n {
		x := c.base[i] * inv
		below := 1.0
		if x < 4 {
			j := int(x)
			below = cumulativeRoots[j] + (x-float64(j))*(cumulativeRoots[j+1]-cumulativeRoots[j])
		}
		r.share[i] = below - above
		above = below
		r.rooted[i] = min(max((zr-c.top[i])/c.thickM, 0), 1)
	}
}

// rootDepth is how deep the roots go today: not beyond the column, and short
// of the water table. Bare ground counts as rooted to the evaporation layer.
func (c *Column) rootDepth(wantM, tableM float64) float64 {
	return max(min(max(wantM, c.p.ZeM), c.p.RootMaxM, tableM-c.p.RootGapM), 0.5*c.p.ZeM)
}

func (c *Column) stepLayers(s *State, d *Demand, w *Water, out *Fluxes) {
	n := c.n
	before := 0.0
	for i := range n {
		before += s.Layer[i]
	}
	f := c.wet(s, d, w, out)

	// Today's full contents and the limits of the flux.
	table := w.TableM + c.p.TableOffsetM
	var full, flux [MaxLayers]float64
	fed := c.curved && table < math.Inf(1)
	if fed {
		a, b, x := c.depth.look(table, n)
		for i := range n {
			full[i] = a[i].full + x*(b[i].full-a[i].full)
			flux[i] = a[i].flux + x*(b[i].flux-a[i].flux)
		}
	} else {
		full = c.fc
	}

	correct := 0.0
	if w.CorrectMM != 0 {
		correct = c.correct(s, w.CorrectMM)
	}

	// Water from above: each layer takes what it can hold and passes the rest.
	down := f.infiltration
	for i := range n {
		water := s.Layer[i] + down
		down = max(0, water-full[i])
		s.Layer[i] = water - down
	}
	percolation := down

	zr := c.rootDepth(d.RootM, table)
	var r rooting
	c.roots(zr, &r)

	// Evaporation, from the layers that make up the evaporation layer.
	e := max(0, min(f.ke*d.EToMM, f.few*(c.tew-s.De)))
	e = c.evaporate(s, &full, &r, e)
	if !d.Single {
		s.De += e / f.few // FAO-56 Eq. 77
	}

	want := d.Kcb * d.EToMM
	t, onset, taw := c.transpire(s, &full, &r, want, f.p)

	upflux := 0.0
	if fed {
		upflux = c.rise(s, &full, &flux)
	}

	after := 0.0
	depletion := 0.0
	for i := range n {
		after += s.Layer[i]
		if r.rooted[i] > 0 {
			depletion += full[i] - s.Layer[i]
		}
	}
	out.UpfluxMM, out.PercolationMM, out.CorrectMM = upflux, percolation, correct
	out.EvaporationMM, out.TranspirationMM = e+f.lost, t
	out.ETMM = e + t + f.lost
	out.Ks = 1
	if want > 0 {
		out.Ks = t / want
	}
	out.DepletionMM, out.TAWMM, out.RAWMM = depletion, taw, taw-onset
	out.StorageMM = after
	out.ClosureMM = (out.RainMM + out.NetMM + correct + upflux) - (out.RunoffMM + percolation + out.ETMM) - (after - before)
	out.Aeration = table < d.RootM
}

// evaporate takes e from the top down, the evaporation layer no further than
// to the larger of its available and its evaporable water, and returns what it got.
func (c *Column) evaporate(s *State, full *[MaxLayers]float64, r *rooting, e float64) float64 {
	got := 0.0
	for i := 0; i < c.n && e > 0; i++ {
		part := min(1, (c.p.ZeM-c.top[i])/c.thickM)
		if part <= 0 {
			break
		}
		part *= c.thickM / c.p.ZeM
		limit := max((full[i]-c.wp[i])*r.rooted[i], min(1, part)*c.tew)
		x := max(0, min(e, limit-(full[i]-s.Layer[i]), s.Layer[i]))
		s.Layer[i] -= x
		got += x
		e -= x
	}
	return got
}

// transpire takes want from the layers by root share, stress and the
// compensation limit (Jarvis 1989, Agricultural Water Management 16:275-291,
// from memory), and returns what it got, the available water at which stress
// begins and the total available water.
func (c *Column) transpire(s *State, full *[MaxLayers]float64, r *rooting, want, p float64) (got, onset, taw float64) {
	var uptake, avail [MaxLayers]float64
	weighted := 0.0
	for i := range c.n {
		rooted := r.rooted[i]
		if rooted <= 0 {
			continue
		}
		layerTAW := (full[i] - c.wp[i]) * rooted
		taw += layerTAW
		a := layerTAW - (full[i] - s.Layer[i])
		avail[i] = max(0, a)
		ks := 1.0
		if c.stress != nil {
			k := &c.stress[i]
			thick := 1000 * c.thickM * rooted
			ks = k.at((c.wp[i]*rooted + a) / thick)
			onset += (k.low+k.span)*thick - c.wp[i]*rooted
		} else {
			o := (1 - p) * (c.fc[i] - c.wp[i]) * rooted
			onset += o
			if a < o {
				ks = max(0, a) / o // FAO-56 Eq. 84, layer by layer
			}
		}
		uptake[i] = r.share[i] * ks
		weighted += uptake[i]
	}
	if !(want > 0) || !(weighted > 0) {
		return 0, onset, taw
	}
	scale := want
	if !c.oneBucket {
		scale = want / max(weighted, c.compensate)
	}
	for i := range c.n {
		x := min(uptake[i]*scale, avail[i])
		s.Layer[i] -= x
		got += x
	}
	return got, onset, taw
}

// rise lets water climb from the table. What passes the bottom of a layer is
// limited by the steady flux over the layer's climb; the lower layers take
// theirs first, for the water comes past them.
func (c *Column) rise(s *State, full, flux *[MaxLayers]float64) float64 {
	want := 0.0
	for i := range c.n {
		want += max(0, full[i]-s.Layer[i])
	}
	up := min(want, flux[c.n-1])
	total := up
	for i := c.n - 1; i >= 0; i-- {
		x := min(up, max(0, full[i]-s.Layer[i]))
		s.Layer[i] += x
		up -= x
		if i > 0 && up > flux[i-1] {
			total -= up - flux[i-1]
			up = flux[i-1]
		}
	}
	return total
}

// correct spreads a probe correction over the layers by thickness, as far as
// there is water to take, and returns what was entered.
func (c *Column) correct(s *State, mm float64) float64 {
	entered := 0.0
	for i := range c.n {
		x := max(mm/float64(c.n), -s.Layer[i])
		s.Layer[i] += x
		entered += x
	}
	return entered
}
