package pivot

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
)

// flats is a machine of the size most common in US practice: 1300 ft, 800 gpm.
func flats() *Machine {
	return &Machine{
		Name: "North", Well: "One", Center: orb.Point{-86.51, 41.62},
		LengthM: 396.24, FlowM3H: 181.7, HoursAtFull: 20,
		TimerMinPct: 10, TimerMaxPct: 100, MaxGrossMM: 60, MaxLegs: 8,
		Efficiency: 0.85, WettedM: 15.24, PowerKW: 60, DryPowerKW: 8, Reversible: true,
	}
}

// poly is a zone from one ring on the plane about the machine's pivot point, m.
func poly(m *Machine, xy ...[2]float64) orb.MultiPolygon {
	return orb.MultiPolygon{{ring(m, xy...)}}
}

// ring has a corner every 25 m at least, so that its sides are straight on the
// plane to 0.01 mm and not only in longitude and latitude.
func ring(m *Machine, xy ...[2]float64) orb.Ring { return stepRing(m, 25, xy) }

func stepRing(m *Machine, step float64, xy [][2]float64) orb.Ring {
	p := NewPlane(m.Center)
	var r orb.Ring
	for i, a := range xy {
		b := xy[(i+1)%len(xy)]
		n := max(1, math.Ceil(math.Hypot(b[0]-a[0], b[1]-a[1])/step))
		for k := 0.0; k < n; k++ {
			r = append(r, p.ToLonLat(orb.Point{a[0] + (b[0]-a[0])*k/n, a[1] + (b[1]-a[1])*k/n}))
		}
	}
	return append(r, r[0])
}

// square is the ring of a square about (x, y) with a half side of h.
func square(x, y, h float64) [][2]float64 {
	return [][2]float64{{x - h, y - h}, {x + h, y - h}, {x + h, y + h}, {x - h, y + h}}
}

func close(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g, off by %.3g, allowed %.3g", what, got, want, got-want, tol)
	}
}

func total(cells []Cell) (sum float64, byZone map[int]float64) {
	byZone = map[int]float64{}
	for _, c := range cells {
		sum += c.AreaM2
		byZone[c.Zone] += c.AreaM2
	}
	return sum, byZone
}

func mustOverlay(t testing.TB, m *Machine, zones []ZonePolygon, w float64) []Cell {
	t.Helper()
	cells, err := Overlay(m, zones, w)
	if err != nil {
		t.Fatalf("Overlay: %v", err)
	}
	return cells
}

// Closed forms: figures whose overlap with a circle has a formula.
func TestOverlayClosedForms(t *testing.T) {
	m := flats()
	r := m.LengthM
	cap := func(d float64) float64 { // circular segment beyond a chord at distance d
		return r*r*math.Acos(d/r) - d*math.Sqrt(r*r-d*d)
	}
	far := 3 * r
	for _, c := range []struct {
		name string
		zone orb.MultiPolygon
		want float64
	}{
		{"everything", poly(m, square(0, 0, far)...), math.Pi * r * r},
		{"east half, pivot point on its edge", poly(m, [2]float64{0, -far}, [2]float64{far, -far}, [2]float64{far, far}, [2]float64{0, far}), math.Pi * r * r / 2},
		{"north-east quarter, pivot point at its corner", poly(m, [2]float64{0, 0}, [2]float64{far, 0}, [2]float64{far, far}, [2]float64{0, far}), math.Pi * r * r / 4},
		{"segment across north", poly(m, [2]float64{-far, 100}, [2]float64{far, 100}, [2]float64{far, far}, [2]float64{-far, far}), cap(100)},
		{"segment holding the pivot point", poly(m, [2]float64{-far, -100}, [2]float64{far, -100}, [2]float64{far, far}, [2]float64{-far, far}), math.Pi*r*r - cap(100)},
		{"square inside, off centre", poly(m, square(120, -80, 50)...), 1e4},
		{"square inside, drawn clockwise", poly(m, [2]float64{0, 0}, [2]float64{0, 100}, [2]float64{100, 100}, [2]float64{100, 0}), 1e4},
		{"square round the pivot point", poly(m, square(0, 0, 50)...), 1e4},
		{"inscribed square", poly(m, square(0, 0, r/math.Sqrt2)...), 2 * r * r},
		{"out of reach", poly(m, square(5*r, 0, r)...), 0},
		{"touching from outside", poly(m, square(2*r, 0, r)...), 0},
		{"hole", orb.MultiPolygon{{ring(m, square(0, 0, far)...), ring(m, square(30, 40, 50)...)}}, math.Pi*r*r - 1e4},
		{"two parts", orb.MultiPolygon{{ring(m, square(100, 100, 50)...)}, {ring(m, square(-100, -100, 25)...)}}, 1e4 + 2500},
	} {
		for _, w := range []float64{5, 2.5, 360, 40} {
			cells := mustOverlay(t, m, []ZonePolygon{{"z", c.zone}}, w)
			sum, by := total(cells)
			close(t, c.name+": zone", by[0], c.want, 0.02) // the plane's 10 nm and the dust
			close(t, c.name+": wetted", sum, math.Pi*r*r, 1e-6)
		}
	}
}

// One machine with end gun, 72 slices, six zones: hand-drawn, and as traced by a survey.
func BenchmarkOverlay(b *testing.B) {
	for _, corners := range []int{40, 400} {
		b.Run(fmt.Sprintf("6zones/%dcorners", corners), func(b *testing.B) {
			m := flats()
			m.EndGunM, m.EndGunM3H, m.EndGunArcs = 25, 15, []Arc{{30, 61}, {200, 290}}
			zones := stepPie(m, rand.New(rand.NewPCG(1, 2)), 6, corners, math.Inf(1))
			b.ReportAllocs()
			var n int
			for b.Loop() {
				n = len(mustOverlay(b, m, zones, 5))
			}
			if n < 72 {
				b.Fatalf("%d cells", n)
			}
		})
	}
}

// pie cuts a wobbly patch that covers the circle into n zones whose shared
// boundaries wander out from a common point, each with about `corners` corners.
func pie(m *Machine, rng *rand.Rand, n, corners int) []ZonePolygon {
	return stepPie(m, rng, n, corners, 25)
}

func stepPie(m *Machine, rng *rand.Rand, n, corners int, step float64) []ZonePolygon {
	hub := [2]float64{rng.Float64()*200 - 100, rng.Float64()*200 - 100}
	bound := make([][][2]float64, n)
	for i := range bound {
		for k := 1; k <= corners/3; k++ {
			a := 2 * math.Pi * (float64(i) + 0.3*rng.Float64()) / float64(n)
			d := 900 * float64(k) / float64(corners/3)
			bound[i] = append(bound[i], [2]float64{hub[0] + d*math.Sin(a), hub[1] + d*math.Cos(a)})
		}
	}
	zones := make([]ZonePolygon, n)
	for i := range zones {
		r := [][2]float64{hub}
		r = append(r, bound[i]...)
		for k := 1; k < corners/3; k++ {
			a := 2 * math.Pi * (float64(i) + 0.3 + 0.7*float64(k)/float64(corners/3)) / float64(n)
			r = append(r, [2]float64{hub[0] + 950*math.Sin(a), hub[1] + 950*math.Cos(a)})
		}
		next := bound[(i+1)%n]
		for k := len(next) - 1; k >= 0; k-- {
			r = append(r, next[k])
		}
		zones[i] = ZonePolygon{string(rune('A' + i)), orb.MultiPolygon{{stepRing(m, step, r)}}}
	}
	return zones
}

// Neighbours on both sides of a line along a parallel, one of them with a corner
// half way: straight on the map is not straight on the ground, and still they
// neither overlap nor leave a gap.
func TestEdgesAreStraightOnTheMap(t *testing.T) {
	m := flats()
	lon, lat := m.Center.Lon(), m.Center.Lat()+0.0005
	w, e := lon-0.012, lon+0.012 // 2 km
	north := orb.MultiPolygon{{{{w, lat}, {e, lat}, {e, lat + 0.01}, {w, lat + 0.01}, {w, lat}}}}
	south := orb.MultiPolygon{{{{w, lat}, {w, lat - 0.01}, {e, lat - 0.01}, {e, lat}, {lon + 0.001, lat}, {w, lat}}}}
	close(t, "overlap", OverlapM2(north, south), 0, 1.5) // m², of a line of 2 km: under 1 mm
	sum, by := total(mustOverlay(t, m, []ZonePolygon{{"north", north}, {"south", south}}, 5))
	close(t, "covered", by[0]+by[1], sum, 0.5)
	// The area between parallels and meridians of the ellipsoid, by Simpson's rule on
	// the integral of M N cos φ: a formula of its own.
	const e2 = 0.00669437999014
	f := func(d float64) float64 {
		s, c := math.Sincos((lat + d) * math.Pi / 180)
		q := 1 - e2*s*s
		return 6378137 * 6378137 * (1 - e2) / (q * q) * c
	}
	want := (f(0) + 4*f(0.005) + f(0.01)) / 6 * 0.01 * 0.024 * math.Pi * math.Pi / 180 / 180
	close(t, "between parallels", ZoneM2(north), want, 2e-6*want)
}
