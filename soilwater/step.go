package soilwater

// One day of one column.

import "math"

// Step moves s over one day and writes the day's account to out. It does not
// allocate and does not check its arguments: a NaN anywhere makes
// out.ClosureMM NaN, so that the check closure < 1e-9 fails.
//
// With one layer and no water table it is the daily balance of FAO-56 chapters
// 7 and 8 (Eqs. 69 to 88) with the dual crop coefficient, or with Demand.Single
// its single-coefficient form. The order within the day is that of the tables
// of Examples 35 and 38: water comes first and what finds no room drains at
// once, then the evaporation and stress coefficients are taken from what is
// left, and evapotranspiration follows. Eq. 88 as printed takes the day's
// evapotranspiration before it drains, which keeps the ground wetter by up to
// a day's ETc after every good wetting (Example 38: 21.9 against 27.4 mm on
// day 9); we follow the worked table, because sand drains in hours and a pass
// that overfills it is lost, and because a schedule that errs should err to
// the dry side.
//
// Where evaporation would take the evaporation layer beyond TEW (Eq. 78) or the
// root zone beyond TAW (Eq. 86), FAO-56 cuts the depletion and leaves the ET as
// it was; here the ET is cut as well, so that the books close. Shallow-rooted
// or bare ground may dry by evaporation to TEW if that is more than TAW.
// Rain below 0.2 ETo, which FAO-56 (p. 170, from memory) lets a single-coefficient
// balance ignore, is counted as rain and as evaporation on that day; the dual
// balance evaporates it by itself.
func (c *Column) Step(s *State, d *Demand, w *Water, out *Fluxes) {
	if c.n == 1 && !(w.TableM < math.Inf(1)) {
		c.stepBucket(s, d, w, out)
		return
	}
	c.stepLayers(s, d, w, out)
}

// surface is what the top of the ground does on a day before its layers act.
type surface struct {
	infiltration float64 // mm
	lost         float64 // rain evaporated at once in single mode, mm
	few, ke, p   float64
}

// wet brings the day's water to the surface: runoff, the wetted fraction, the
// evaporation layer and the coefficients Ke and p of the day.
func (c *Column) wet(s *State, d *Demand, w *Water, out *Fluxes) (f surface) {
	rain, net := w.RainMM, w.NetMM
	runoff := 0.0
	if rain > c.abstract {
		runoff = Runoff(rain, c.p.CurveNumber)
	}
	f.infiltration = rain - runoff + net
	if d.Single {
		if rain < 0.2*d.EToMM {
			f.lost = rain
			f.infiltration -= rain
		}
	} else {
		if f.infiltration != 0 { // FAO-56 Eqs. 77 and 79, drained at the early wetting
			fw := 1.0
			if w.FwNet > 0 && w.FwNet < 1 {
				fw = w.FwNet
			}
			s.De -= rain - runoff + net/fw
			if s.De < 0 {
				s.De = 0
			}
			s.Fw = wettedFraction(s.Fw, rain, net, fw)
		}
		f.few = Few(d.Cover, s.Fw)
		f.ke = c.ke(s.De, f.few, d)
	}
	etc := (d.Kcb + f.ke) * d.EToMM // FAO-56 Eq. 69
	f.p = d.P
	if !d.FixedP {
		f.p = AdjustedP(d.P, etc)
	}
	out.RainMM, out.RunoffMM, out.NetMM = rain, runoff, net
	out.ETcMM, out.Ke = etc, f.ke
	return f
}

// ke is the evaporation coefficient of a day without the cut at TEW.
func (c *Column) ke(de, few float64, d *Demand) float64 {
	return Ke(Kr(de, c.rew, c.tew), d.Kcb, d.KcMax, few)
}

// evaporation is what would evaporate today, mm: Ke ETo, but no more than
// brings the evaporation layer to TEW (FAO-56 Eq. 78).
func (c *Column) evaporation(s *State, d *Demand, f *surface) float64 {
	e := f.ke * d.EToMM
	if most := f.few * (c.tew - s.De); most < e {
		e = most
	}
	if e < 0 {
		e = 0
	}
	return e
}

// stepBucket is FAO-56: one layer, no table.
func (c *Column) stepBucket(s *State, d *Demand, w *Water, out *Fluxes) {
	before := s.Layer[0]
	f := c.wet(s, d, w, out)

	full := c.fc[0]
	water := before + f.infiltration
	percolation := 0.0
	if water > full {
		percolation = water - full // FAO-56 Eq. 88, drained at the early wetting
		water = full
	}

	zr := d.RootM
	if zr < c.p.ZeM {
		zr = c.p.ZeM
	}
	if zr > c.p.RootMaxM {
		zr = c.p.RootMaxM
	}
	rooted := zr * c.perRoot
	taw := (full - c.wp[0]) * rooted // FAO-56 Eq. 82; see TAW
	dr := full - water
	// The stress of the morning: evaporation of the day does not count.
	var raw, ks float64
	if c.stress == nil {
		raw, ks = RAW(f.p, taw), Ks(dr, taw, f.p)
	} else {
		onset := c.onset(0, f.p)
		raw, ks = taw-onset*rooted, c.stressAt(0, onset, max(0, taw-dr), rooted)
	}

	avail := taw - dr
	e := 0.0
	if !d.Single {
		e = c.evaporation(s, d, &f)
		least := taw // FAO-56 Eq. 86
		if c.tew > least {
			least = c.tew
		}
		if most := least - dr; most < e {
			e = max(0, most)
		}
		s.De += e / f.few // FAO-56 Eq. 77
		avail -= e
		water -= e
	}

	want := d.Kcb * d.EToMM
	t := ks * want // FAO-56 Eq. 81
	if t > avail {
		t = max(0, avail)
		ks = t / want
	}
	water -= t // FAO-56 Eq. 85
	s.Layer[0] = water

	out.UpfluxMM, out.PercolationMM, out.CorrectMM = 0, percolation, 0
	out.EvaporationMM, out.TranspirationMM = e+f.lost, t
	out.ETMM = e + t + f.lost
	out.Ks = ks
	out.DepletionMM, out.TAWMM, out.RAWMM = full-water, taw, raw
	out.StorageMM = water
	out.ClosureMM = (out.RainMM + out.NetMM) - (out.RunoffMM + percolation + out.ETMM) - (water - before)
	out.Aeration = false
}
