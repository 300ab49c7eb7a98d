package pivot

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"
	"github.com/peterstace/simplefeatures/geom"
)

func TestOutline(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 15))
	for k := range 60 {
		m := someMachine(rng)
		m.Stops = nil
		m.Center[0] = rng.Float64()*350 - 175 // Outline does not cut at the 180th meridian
		c := Arc{Azimuth(rng.Float64() * 360), Azimuth(rng.Float64() * 360)}
		if k%4 == 0 {
			c = Arc{}
		}
		tol := []float64{0.01, 0.25, 2, 1e9, 0}[k%5]
		out := m.Outline(c, tol)
		if len(out) != 1 || !out[0].Closed() || out[0].Orientation() != orb.CCW {
			t.Fatalf("seed 8,15: outline of %v is not one closed anticlockwise ring", c)
		}
		text, err := geojson.NewGeometry(out).MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := geom.UnmarshalGeoJSON(text); err != nil && tol < 10 {
			t.Errorf("seed 8,15: the polygon library refuses the outline of %v: %v", c, err)
		}
		if tol > 10 {
			continue
		}
		tol = max(tol, minChordM)
		// Never larger than the ground but for the bow of the radii; smaller by at most the tolerance along the rim.
		area, true2 := ZoneM2(orb.MultiPolygon{out}), m.LegUse(c, 100, true).AreaM2
		if lost := true2 - area; lost < -0.2 || lost > tol*(m.LengthM+m.EndGunM)*c.Span()*math.Pi/180+0.2 {
			t.Errorf("seed 8,15: outline of %v with chords within %v m loses %v of %v m²", c, tol, lost, true2)
		}
		// Corners on the rim, middles of chords within the tolerance of it.
		p := NewPlane(m.Center)
		r := out[0]
		for i := 1; i < len(r); i++ {
			a, b := p.ToPlane(r[i-1]), p.ToPlane(r[i])
			da, db := math.Hypot(a[0], a[1]), math.Hypot(b[0], b[1])
			if math.Abs(da-db) > 1e-6 || da < 1e-6 {
				continue // along a radius
			}
			if d := math.Hypot(a[0]+b[0], a[1]+b[1]) / 2; da-d > tol+1e-6 {
				t.Errorf("seed 8,15: chord leaves the rim by %v m, allowed %v", da-d, tol)
			}
			if math.Abs(da-m.LengthM) > 1e-6 && math.Abs(da-m.LengthM-m.EndGunM) > 1e-6 {
				t.Errorf("seed 8,15: corner at %v m", da)
			}
		}
	}
}

func TestOutlineShapes(t *testing.T) {
	m := flats()
	touches := func(p orb.Polygon) (n int) {
		for _, q := range p[0] {
			if math.Abs(q[0]-m.Center[0])+math.Abs(q[1]-m.Center[1]) < 1e-9 {
				n++
			}
		}
		return n
	}
	if n := touches(m.Outline(Arc{}, 1)); n != 0 {
		t.Errorf("the circle has %d corners at the pivot point", n)
	}
	if n := touches(m.Outline(Arc{0, 90}, 1)); n != 2 {
		t.Errorf("the quarter has %d corners at the pivot point, want the first and last", n)
	}
	// An end gun that starts at north, crossed by the leg.
	m.EndGunM, m.EndGunArcs = 50, []Arc{{0, 90}}
	want := m.LegUse(Arc{350, 10}, 50, true).AreaM2
	close(t, "gun from north", ZoneM2(orb.MultiPolygon{m.Outline(Arc{350, 10}, 0.001)}), want, 0.2)
	// The step of the gun at north closes the whole circle, with its corner half way.
	m.EndGunM = 80
	half, found := NewPlane(m.Center).ToLonLat(orb.Point{0, m.LengthM + 40}), false
	for _, q := range m.Outline(Arc{}, 1)[0] {
		found = found || math.Abs(q[0]-half[0])+math.Abs(q[1]-half[1]) < 1e-9
	}
	if !found {
		t.Error("the step at north has no corner half way")
	}
	// Asked for the whole circle, a part circle shows its part.
	m.Stops = &Arc{30, 300}
	close(t, "part circle", ZoneM2(orb.MultiPolygon{m.Outline(Arc{}, 0.001)}), m.AreaM2(), 3)
	close(t, "part circle by its stops", ZoneM2(orb.MultiPolygon{m.Outline(*m.Stops, 0.001)}), m.AreaM2(), 3)
}
