package pivot

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

// someMachine is a random machine with end gun and, half the time, stops.
func someMachine(rng *rand.Rand) *Machine {
	m := flats()
	m.Center = orb.Point{rng.Float64()*360 - 180, rng.Float64()*140 - 70}
	m.LengthM = 100 + rng.Float64()*500
	m.EndGunM, m.EndGunM3H = rng.Float64()*40+1, rng.Float64()*30
	az := func() Azimuth { return Azimuth(rng.Float64() * 360) }
	for range 1 + rng.IntN(3) {
		m.EndGunArcs = append(m.EndGunArcs, Arc{az(), az()}) // they may overlap
	}
	if rng.IntN(2) == 0 {
		m.Stops = &Arc{az(), az()}
	}
	return m
}

var widths = []float64{1, 2, 2.5, 5, 7.2, 10, 30, 45, 120, 180, 360, 360.0 / 7}

func TestSlicesAddUpProperty(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	for range 200 {
		m := someMachine(rng)
		for _, w := range widths {
			s, err := m.Slices(w)
			if err != nil {
				t.Fatal(err)
			}
			var area, travel, gun, m3, hours float64
			for i := range s {
				area, travel, gun = area+s[i].AreaM2, travel+s[i].TravelDeg, gun+s[i].GunDeg
				m3, hours = m3+m.SliceM3(s[i], 40), hours+m.SliceHours(s[i], 40)
			}
			whole := Arc{}
			if m.Stops != nil {
				whole = *m.Stops
			}
			r, g := m.LengthM, m.LengthM+m.EndGunM
			close(t, "area", area, m.AreaM2(), 1e-6)
			close(t, "area by radius", area, (r*r*(travel-gun)+g*g*gun)/2*math.Pi/180, 1e-6)
			close(t, "travel", travel, whole.Span(), 1e-6)
			u := m.LegUse(whole, 40, true)
			close(t, "volume", m3, u.VolumeM3, 1e-6)
			close(t, "hours", hours, u.Hours, 1e-7)
			close(t, "leg's area", u.AreaM2, area, 1e-5)
		}
	}
	if t.Failed() {
		t.Log("seed 1,9")
	}
}

// A stop within rounding of a slice's edge makes no sliver.
func TestNoSlivers(t *testing.T) {
	for _, off := range []float64{0, 1e-12, -1e-12, 1e-10, -1e-10} {
		m := flats()
		m.Stops = &Arc{Azimuth(5).Add(off), Azimuth(0).Add(off)}
		for _, s := range m.sectors(72) {
			if s.to-s.from < 1 {
				t.Errorf("stops %v: sector %+v", *m.Stops, s)
			}
		}
		sound(t, m, mustOverlay(t, m, nil, 5), 0, 5)
		close(t, "area", m.AreaM2(), math.Pi*m.LengthM*m.LengthM*355/360, 1e-3)
	}
}

// turned is the machine and its zones turned clockwise about the pivot point.
func turned(m *Machine, zones []ZonePolygon, by float64) (*Machine, []ZonePolygon) {
	out := *m
	turnArc := func(c Arc) Arc {
		if c.Full() {
			return c
		}
		return Arc{c.From.Add(by), c.To.Add(by)}
	}
	out.EndGunArcs = nil
	for _, c := range m.EndGunArcs {
		out.EndGunArcs = append(out.EndGunArcs, turnArc(c))
	}
	if m.Stops != nil {
		c := turnArc(*m.Stops)
		out.Stops = &c
	}
	p := NewPlane(m.Center)
	var moved []ZonePolygon
	for _, z := range zones {
		a := onPlane(m, z.Area)
		for _, poly := range a {
			for _, r := range poly {
				for i, q := range r {
					sin, cos := math.Sincos(by * math.Pi / 180)
					r[i] = p.ToLonLat(orb.Point{q[0]*cos + q[1]*sin, q[1]*cos - q[0]*sin})
				}
			}
		}
		moved = append(moved, ZonePolygon{z.Name, a})
	}
	return &out, moved
}

func byKey(cells []Cell) map[[2]int]float64 {
	out := map[[2]int]float64{}
	for _, c := range cells {
		out[[2]int{c.Slice, c.Zone}] += c.AreaM2
	}
	return out
}

func TestRotationChangesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 4))
	for range 40 {
		m := someMachine(rng)
		zones := pie(m, rng, 5, 24)[:4]
		k := 1 + rng.IntN(71)
		m2, zones2 := turned(m, zones, float64(k)*5)
		got, want := byKey(mustOverlay(t, m2, zones2, 5)), byKey(mustOverlay(t, m, zones, 5))
		for key, a := range want {
			// The plane is iterated to 1e-8 m along a kilometre of edge; dust may go either way.
			if b := got[[2]int{(key[0] + k) % 72, key[1]}]; math.Abs(a-b) > 1e-4+2*dustM2 {
				t.Errorf("seed 21,4: slice %d zone %d: %.6f m², turned by %d slices %.6f", key[0], key[1], a, k, b)
			}
		}
	}
}

func TestHalvesAddUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 28))
	for range 40 {
		m := someMachine(rng)
		x := (rng.Float64() - 0.5) * m.LengthM
		whole := [][2]float64{{-900, -300}, {900, -350}, {800, 500}, {-700, 420}}
		// Cut by the straight line from (x, -300 - ...) on the lower edge to a point of the upper one.
		low := [2]float64{x, -300 - 50*(x+900)/1800}
		high := [2]float64{x, 420 + 80*(x+700)/1500}
		one := byKey(mustOverlay(t, m, []ZonePolygon{{"whole", poly(m, whole...)}}, 5))
		two := byKey(mustOverlay(t, m, []ZonePolygon{
			{"west", poly(m, whole[0], low, high, whole[3])},
			{"east", poly(m, low, whole[1], whole[2], high)},
		}, 5))
		for i := range 72 {
			a, b := one[[2]int{i, 0}], two[[2]int{i, 0}]+two[[2]int{i, 1}]
			if math.Abs(a-b) > 1e-4+2*dustM2 {
				t.Errorf("seed 6,28: slice %d: whole %.6f m², halves %.6f", i, a, b)
			}
			close(t, "bare ground", two[[2]int{i, NoZone}], one[[2]int{i, NoZone}], 1e-4+2*dustM2)
		}
	}
}

// sound checks what must hold for any overlay: order, no negative area, no ground lost.
func sound(t *testing.T, m *Machine, cells []Cell, zones int, w float64) {
	t.Helper()
	want, err := m.SliceM2(w)
	if err != nil {
		t.Fatal(err)
	}
	got := make([]float64, len(want))
	for i, c := range cells {
		if !(c.AreaM2 > 0) || c.Zone < NoZone || c.Zone >= zones {
			t.Fatalf("cell %+v", c)
		}
		if i > 0 {
			p := cells[i-1]
			if p.Slice > c.Slice || p.Slice == c.Slice && (p.Zone == NoZone || p.Zone >= c.Zone && c.Zone != NoZone) {
				t.Fatalf("cell %+v after %+v", c, p)
			}
		}
		got[c.Slice] += c.AreaM2
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-9*want[i]+dustM2*1.001 {
			t.Fatalf("slice %d: cells %v m², wetted %v", i, got[i], want[i])
		}
	}
}

func TestOverlayConservesProperty(t *testing.T) {
	rng := rand.New(rand.NewPCG(77, 3))
	for range 100 {
		m := someMachine(rng)
		zones := pie(m, rng, 4+rng.IntN(5), 12+rng.IntN(40))
		if rng.IntN(2) == 0 {
			zones = zones[1:]
		}
		w := widths[rng.IntN(len(widths))]
		sound(t, m, mustOverlay(t, m, zones, w), len(zones), w)
	}
}

// Any bytes become zones round a machine: no panic, and either a refusal or a sound overlay.
func FuzzOverlay(f *testing.F) {
	f.Add([]byte{1, 200, 30, 4, 90, 9, 14, 250, 66, 3, 128, 7}, uint8(3))
	f.Add([]byte{0, 0, 0, 0, 0, 0, 0, 0, 128, 128, 128, 128, 255, 255, 255, 255}, uint8(11))
	f.Add([]byte("a bow tie, a hole outside its zone, a line, a point"), uint8(0))
	f.Fuzz(func(t *testing.T, b []byte, w uint8) {
		if len(b) > 400 {
			return
		}
		m := flats()
		m.EndGunM, m.EndGunArcs = 20, []Arc{{350, 20}, {100, 180.5}}
		m.Stops = &Arc{15, 340}
		p := NewPlane(m.Center)
		zones := []ZonePolygon{{"a", nil}, {"b", nil}}
		var r orb.Ring
		for len(b) >= 4 {
			x, y := int16(binary.LittleEndian.Uint16(b)), int16(binary.LittleEndian.Uint16(b[2:]))
			b = b[4:]
			r = append(r, p.ToLonLat(orb.Point{float64(x) / 32, float64(y) / 32})) // within 1024 m
			if x%5 != 0 {
				continue
			}
			z := &zones[(y&2)>>1].Area
			if y%3 == 0 && len(*z) > 0 {
				(*z)[len(*z)-1] = append((*z)[len(*z)-1], r)
			} else {
				*z = append(*z, orb.Polygon{r})
			}
			r = nil
		}
		zones[0].Area = append(zones[0].Area, orb.Polygon{r})
		width := widths[int(w)%len(widths)]
		cells, err := Overlay(m, zones, width)
		if err != nil {
			if !strings.Contains(err.Error(), "zone") {
				t.Fatalf("refusal that names no zone: %v", err)
			}
			return
		}
		sound(t, m, cells, len(zones), width)
	})
}

// Numbers that are no coordinates, and numbers of every size.
func FuzzOverlayCoordinates(f *testing.F) {
	f.Add(-86.51, 41.62, -86.5, 41.63, -86.52, 41.7)
	f.Add(math.NaN(), 41.62, math.Inf(1), 41.63, -86.52, 1e300)
	f.Add(180.0, 90.0, -180.0, -90.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g float64) {
		m := flats()
		r := orb.Ring{{a, b}, {c, d}, {e, g}, {a, b}}
		zones := []ZonePolygon{{"z", orb.MultiPolygon{{r}}}}
		if cells, err := Overlay(m, zones, 5); err == nil {
			sound(t, m, cells, 1, 5)
		}
		if z := ZoneM2(zones[0].Area); z < 0 {
			t.Errorf("area %v", z)
		}
		OverlapM2(zones[0].Area, orb.MultiPolygon{{{{c, b}, {a, d}, {g, e}}}})
	})
}

func TestOverlayRefuses(t *testing.T) {
	m := flats()
	in := func(xy ...[2]float64) orb.MultiPolygon { return poly(m, xy...) }
	for _, c := range []struct {
		name  string
		zones []ZonePolygon
		w     float64
		want  string
	}{
		{"width", nil, 7, "slice width 7 degrees: must divide 360 and be from 0.05 to 360, such as 1, 2, 2.5, 5 or 10"},
		{"zero width", nil, 0, "slice width 0 degrees: must divide 360 and be from 0.05 to 360, such as 1, 2, 2.5, 5 or 10"},
		{"no width", nil, math.NaN(), "slice width NaN degrees: must divide 360 and be from 0.05 to 360, such as 1, 2, 2.5, 5 or 10"},
		{"too fine", nil, 0.01, "slice width 0.01 degrees: must divide 360 and be from 0.05 to 360, such as 1, 2, 2.5, 5 or 10"},
		{"not a number", []ZonePolygon{{"low", orb.MultiPolygon{{{{-86.5, 41}, {math.NaN(), 41}, {-86, 42}}}}}}, 5,
			`zone "low": position [NaN 41]: must be longitude from -180 to 180, then latitude from -90 to 90`},
		{"swapped", []ZonePolygon{{"low", orb.MultiPolygon{{{{41, -95}, {42, -95}, {42, -96}}}}}}, 5,
			`zone "low": position [41 -95]: must be longitude from -180 to 180, then latitude from -90 to 90`},
		{"overlap", []ZonePolygon{{"high", in(square(0, 0, 200)...)}, {"low", in(square(300, 0, 120)...)}}, 5,
			`zones "high" and "low" overlap by 4800 m²; zones may share an edge but not ground (up to 10 m² is taken as drawn)`},
		{"one in another", []ZonePolygon{{"high", in(square(0, 0, 200)...)}, {"pond", in(square(0, 0, 10)...)}}, 5,
			`zones "high" and "pond" overlap by 400 m²; zones may share an edge but not ground (up to 10 m² is taken as drawn)`},
		{"bow tie", []ZonePolygon{{"bow", in([2]float64{-100, -100}, [2]float64{100, 100}, [2]float64{100, -100}, [2]float64{-100, 100})}}, 5,
			`zone "bow" crosses or covers itself`},
		{"hole outside", []ZonePolygon{{"holed", orb.MultiPolygon{{ring(m, square(0, 0, 50)...), ring(m, square(100, 100, 20)...)}}}}, 5,
			`zone "holed" crosses or covers itself (by 3200 m²)`},
		{"parts overlap", []ZonePolygon{{"twice", orb.MultiPolygon{{ring(m, square(0, 0, 50)...)}, {ring(m, square(0, 0, 50)...)}}}}, 5,
			`zone "twice" crosses or covers itself (by 20000 m²)`},
	} {
		_, err := Overlay(m, c.zones, c.w)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %s", c.name, err, c.want)
		}
	}
	// Drawn to a centimetre: taken, and still nothing lost or doubled.
	a, b := in(square(-200, 0, 200.01)...), in(square(200, 0, 200)...)
	sound(t, m, mustOverlay(t, m, []ZonePolygon{{"west", a}, {"east", b}}, 5), 2, 5)
	close(t, "drawn overlap", OverlapM2(a, b), 4, 0.01)
}
