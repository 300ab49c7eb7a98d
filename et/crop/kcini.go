// Kc ini of the single coefficient from how often, how deep and how much of
// the ground is wetted (FAO-56 Annex 7, which draws Figures 29 and 30).

package crop

import "math"

// Texture is the soil surface as FAO-56 Figure 30 divides it. The zero Texture
// is Coarse.
type Texture uint8

// The textures.
const (
	Coarse Texture = iota // sands: Figure 30a
	Fine                  // medium and fine soils: Figure 30b
)

// Wetting is how bare ground is wetted in the initial stage.
type Wetting struct {
	IntervalDays float64 // mean time between wettings, over 0; see [WettingInterval]
	EToMM        float64 // mean reference evapotranspiration, mm/day, over 0
	DepthMM      float64 // mean infiltration of one wetting, mm, over the ground it wets
	Texture      Texture
}

// WettingInterval is the mean time between wettings in days over an initial
// stage of so many days with so many wettings.
func WettingInterval(initialDays, wettings float64) float64 {
	return initialDays / (wettings + 0.5) // FAO-56 Eq. 7-7
}

// KcIni is Kc ini of the wetted ground, at most 1.15: by Figure 29 up to 10 mm a
// wetting, by Figure 30 from 40 mm, between by Eq. 59. NaN where the interval
// or ETo is not positive.
func (w Wetting) KcIni() float64 {
	if w.DepthMM <= 10 {
		return w.kcIniLight()
	}
	if w.DepthMM >= 40 {
		return w.kcIniHeavy()
	}
	light, heavy := w.kcIniLight(), w.kcIniHeavy()
	return light + (w.DepthMM-10)/(40-10)*(heavy-light) // FAO-56 Eq. 59
}

// kcIniLight is Figure 29: wettings of 3 to 10 mm, any soil.
func (w Wetting) kcIniLight() float64 {
	rew := min(max(2.5, 6/math.Sqrt(w.EToMM)), 7) // FAO-56 Annex 7
	return w.drying(10, rew)
}

// kcIniHeavy is Figure 30: wettings of 40 mm and more.
func (w Wetting) kcIniHeavy() float64 {
	tew, rew := min(15, 7*math.Sqrt(w.EToMM)), 6.0 // FAO-56 Annex 7, Figure 30a
	if w.Texture == Fine {
		tew, rew = min(28, 13*math.Sqrt(w.EToMM)), 9.0 // FAO-56 Annex 7, Figure 30b
	}
	return w.drying(tew, min(rew, tew-0.01))
}

// drying is the mean evaporation over one interval, in units of ETo, from a
// surface that gives tew mm in all, the first rew mm at the full rate.
func (w Wetting) drying(tew, rew float64) float64 {
	if !(w.IntervalDays > 0 && w.EToMM > 0) {
		return math.NaN()
	}
	const most = 1.15
	eso := most * w.EToMM // FAO-56 Eq. 7-1
	t1 := rew / eso       // FAO-56 Annex 7: end of the full rate
	if w.IntervalDays <= t1 {
		return most // FAO-56 Annex 7: it never leaves the full rate
	}
	falling := (w.IntervalDays - t1) * eso * (1 + rew/(tew-rew)) / tew
	return min(most, (tew-(tew-rew)*math.Exp(-falling))/(w.IntervalDays*w.EToMM)) // FAO-56 Eq. 7-3
}

// FieldIrrigation is irrigation that wets part of the ground.
type FieldIrrigation struct {
	DepthMM float64 // mean over the whole field, mm
	Wetted  float64 // fw, fraction of the surface wetted (FAO-56 Table 20), over 0 to 1
}

// LocalMM is the depth in mm on the ground that is wetted.
func (f FieldIrrigation) LocalMM() float64 {
	return f.DepthMM / f.Wetted // FAO-56 Eq. 61
}

// KcIni is Kc ini of the whole field from Kc ini of the wetted ground.
func (f FieldIrrigation) KcIni(wettedKcIni float64) float64 {
	return f.Wetted * wettedKcIni // FAO-56 Eq. 60
}
