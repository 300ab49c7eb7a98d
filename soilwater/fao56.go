package soilwater

// The equations of FAO-56 chapters 7 and 8, one function each. The daily step
// calls them; plain comparisons instead of min and max are for its speed.

import "math"

// TEW is the total evaporable water in mm: the most that can evaporate from a
// surface layer of zeM (0.10 to 0.15 m) with no rain, FAO-56 Eq. 73.
func TEW(thetaFC, thetaWP, zeM float64) float64 {
	return 1000 * (thetaFC - 0.5*thetaWP) * zeM // FAO-56 Eq. 73
}

// Kr is the evaporation reduction coefficient, 1 to 0, at a depletion of the
// evaporation layer deMM, FAO-56 Eq. 74.
func Kr(deMM, rewMM, tewMM float64) float64 {
	if deMM <= rewMM {
		return 1
	}
	if deMM >= tewMM {
		return 0
	}
	return (tewMM - deMM) / (tewMM - rewMM) // FAO-56 Eq. 74
}

// minExposed keeps 1-fc away from 0, as FAO-56 advises under Eq. 75.
const minExposed = 0.01

// Few is the fraction of the surface that is both exposed and wetted, FAO-56
// Eq. 75; cover is fc, fw the fraction wetted.
func Few(cover, fw float64) float64 {
	few := 1 - cover // FAO-56 Eq. 75
	if fw < few {
		few = fw
	}
	if few < minExposed {
		few = minExposed
	}
	return few
}

// DripFw is fw for emitters under the canopy, where the shade takes part of
// the wetted ground: fw (1 - ⅔ fc), FAO-56 p. 150 and Example 34. It is for the
// caller to set Water.FwNet by; a pivot wets all ground.
func DripFw(fw, cover float64) float64 { return fw * (1 - 2.0/3*cover) }

// Ke is the soil evaporation coefficient, FAO-56 Eq. 71.
func Ke(kr, kcb, kcMax, few float64) float64 {
	ke := kr * (kcMax - kcb) // FAO-56 Eq. 71
	if most := few * kcMax; most < ke {
		ke = most
	}
	if ke < 0 {
		ke = 0
	}
	return ke
}

// Limits of p after adjustment, FAO-56 Table 22, note 2.
const pMin, pMax = 0.1, 0.8

// AdjustedP is the depletion fraction for an ETc (mm/day) other than 5:
// p + 0.04 (5 - ETc) within 0.1 to 0.8, FAO-56 Table 22, note 2.
func AdjustedP(p, etcMM float64) float64 {
	p += 0.04 * (5 - etcMM)
	if p < pMin {
		p = pMin
	} else if p > pMax {
		p = pMax
	}
	return p
}

// TAW is the total available water in mm in a root zone of rootM, FAO-56 Eq. 82.
func TAW(thetaFC, thetaWP, rootM float64) float64 {
	return 1000 * (thetaFC - thetaWP) * rootM // FAO-56 Eq. 82
}

// RAW is the readily available water in mm, FAO-56 Eq. 83.
func RAW(p, tawMM float64) float64 { return p * tawMM } // FAO-56 Eq. 83

// Ks is the water stress coefficient, 1 to 0, at a root zone depletion drMM,
// FAO-56 Eq. 84.
func Ks(drMM, tawMM, p float64) float64 {
	if drMM <= p*tawMM {
		return 1
	}
	if drMM >= tawMM {
		return 0
	}
	return (tawMM - drMM) / ((1 - p) * tawMM) // FAO-56 Eq. 84
}

// Salinity describes how a crop answers to salt in the ground, FAO-56 Table 23.
type Salinity struct {
	ECeThreshold float64 // electrical conductivity of the saturation extract where yield starts to fall, dS/m
	SlopePct     float64 // b, loss of yield per dS/m above it, %
	Ky           float64 // yield response factor, Table 24
}

// KsSalt is the stress coefficient for salt and water together at an ECe
// (dS/m) and a depletion drMM. Below RAW it is the salt term of FAO-56 Eq. 91 alone,
// beyond it the product with Eq. 84 (FAO-56 Eq. 92; both numbers from memory). Never below 0; equal to
// Ks below the threshold. Valid for well-managed ground up to about 50 % loss.
// The daily step knows no salt.
func (s Salinity) KsSalt(ece, drMM, tawMM, p float64) float64 {
	salt := 1.0
	if ece > s.ECeThreshold {
		salt = max(0, 1-s.SlopePct/(s.Ky*100)*(ece-s.ECeThreshold)) // FAO-56 Eq. 91
	}
	return salt * Ks(drMM, tawMM, p) // FAO-56 Eq. 92
}

// Runoff is the direct runoff in mm of a day's rain by the curve number
// method, Q = (P-0.2S)²/(P+0.8S) above an initial abstraction of 0.2S, with
// S = 25400/CN - 254 mm. USDA-SCS 1985, National Engineering Handbook
// section 4; the form in inches was read in Lewis, Singer, Tate 2000, J. Soil
// Water Conservation 55:226, S from memory. CN is for average antecedent
// moisture; for sand the adjustment for wet and dry ground changes runoff by
// less than the choice of CN does and is left out. cn is above 0 and at most 100.
func Runoff(rainMM, cn float64) float64 {
	s := 25400/cn - 254
	if rainMM <= 0.2*s {
		return 0
	}
	x := rainMM - 0.2*s
	return x * x / (rainMM + 0.8*s)
}

// significantRainMM is the rain that wets the whole surface; FAO-56 p. 149 says
// "3 to 4 mm" (from memory).
const significantRainMM = 3.0

// wettedFraction is fw after a day's events, FAO-56 Table 20 and the rules
// after it: irrigation alone leaves its own fraction; rain of 3 mm or more
// leaves 1; both on one day the average weighted by depth; neither leaves
// yesterday's.
func wettedFraction(before, rainMM, netMM, fwNet float64) float64 {
	switch {
	case netMM > 0 && rainMM >= significantRainMM:
		return (rainMM + fwNet*netMM) / (rainMM + netMM)
	case netMM > 0:
		return fwNet
	case rainMM >= significantRainMM:
		return 1
	}
	return before
}

func finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
