package pivot

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
	"github.com/paulmach/orb/geojson"
	"github.com/peterstace/simplefeatures/geom"
)

// other hands a geometry to the independent polygon library, as GeoJSON.
func other(t testing.TB, g orb.Geometry) geom.Geometry {
	t.Helper()
	text, err := geojson.NewGeometry(g).MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	out, err := geom.UnmarshalGeoJSON(text)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func common(t testing.TB, a, b geom.Geometry) float64 {
	t.Helper()
	g, err := geom.Intersection(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return g.Area()
}

// onPlane moves a zone onto the machine's plane.
func onPlane(m *Machine, z orb.MultiPolygon) orb.MultiPolygon {
	p := NewPlane(m.Center)
	out := orb.Clone(z).(orb.MultiPolygon)
	for _, poly := range out {
		for _, r := range poly {
			for i := range r {
				r[i] = p.ToPlane(r[i])
			}
		}
	}
	return out
}

// wedge is a sector as a polygon on the plane with a corner every 0.05 degrees,
// which cuts 1.3e-7 of it off.
func wedge(from, to, r float64) orb.Polygon {
	out := orb.Ring{{}}
	n := int(math.Ceil((to - from) * 20))
	for i := range n + 1 {
		a := (from + (to-from)*float64(i)/float64(n)) * math.Pi / 180
		out = append(out, orb.Point{r * math.Sin(a), r * math.Cos(a)})
	}
	return orb.Polygon{append(out, orb.Point{})}
}

// Cells against github.com/peterstace/simplefeatures, cell by cell, with end gun
// and stops at whole degrees whose effect on the radius is worked out anew here.
func TestOverlayAgainstPolygonLibrary(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 43))
	var worst float64
	for range 4 {
		m := flats()
		m.EndGunM, m.EndGunM3H = 10+30*rng.Float64(), 12
		g, s := rng.IntN(360), rng.IntN(360)
		gLen, sLen := 20+rng.IntN(150), 120+rng.IntN(230)
		m.EndGunArcs = []Arc{{Azimuth(g), Azimuth((g + gLen) % 360)}}
		m.Stops = &Arc{Azimuth(s), Azimuth((s + sLen) % 360)}
		radius := func(d int) float64 { // over the degree from d to d+1
			switch {
			case (d-s+360)%360 >= sLen:
				return 0
			case (d-g+360)%360 < gLen:
				return m.LengthM + m.EndGunM
			}
			return m.LengthM
		}
		zones := pie(m, rng, 5, 30)[:4] // one left bare
		got := map[[2]int]float64{}
		for _, c := range mustOverlay(t, m, zones, 10) {
			got[[2]int{c.Slice, c.Zone}] = c.AreaM2
		}
		theirs := make([]geom.Geometry, len(zones))
		for z := range zones {
			theirs[z] = other(t, onPlane(m, zones[z].Area))
		}
		for i := range 36 {
			want := make([]float64, len(zones))
			var all float64
			for from := i * 10; from < i*10+10; {
				to := from + 1
				for to < i*10+10 && radius(to) == radius(from) {
					to++
				}
				if r := radius(from); r > 0 {
					w := other(t, wedge(float64(from), float64(to), r))
					all += w.Area()
					for z := range zones {
						want[z] += common(t, w, theirs[z])
					}
				}
				from = to
			}
			bare := all
			check := func(z int, want float64) {
				off := math.Abs(got[[2]int{i, z}] - want)
				worst = max(worst, off/max(all, 1))
				if off > 0.02+1e-6*all {
					t.Errorf("seed 41,43 slice %d zone %d: %.4f m², polygon library %.4f", i, z, got[[2]int{i, z}], want)
				}
			}
			for z := range zones {
				check(z, want[z])
				bare -= want[z]
			}
			check(NoZone, bare)
		}
	}
	t.Logf("worst cell, as a part of its slice: %.2g", worst)
}

// OverlapM2 against the polygon library, on zones with holes and parts.
func TestOverlapAgainstPolygonLibrary(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	m := flats()
	for k := range 20 {
		a := pie(m, rng, 3, 24)
		b := pie(m, rng, 4, 18)
		za := append(a[0].Area.Clone(), orb.Polygon{ring(m, square(1500, 40, 90)...), ring(m, square(1490, 30, 40)...)})
		zb := append(b[k%4].Area.Clone(), orb.Polygon{ring(m, square(1480, 0, 80)...)})
		want := common(t, other(t, onPlane(m, za)), other(t, onPlane(m, zb)))
		// The two planes have different centres: 1e-7 of it, and of the distances.
		close(t, "overlap", OverlapM2(za, zb), want, 0.02+2e-7*want)
		close(t, "the other way round", OverlapM2(zb, za), want, 0.02+2e-7*want)
		close(t, "with itself", OverlapM2(za, za), ZoneM2(za), 1e-4)
		close(t, "area", ZoneM2(za), other(t, onPlane(m, za)).Area(), 0.2)
		close(t, "neighbours", OverlapM2(a[0].Area, a[1].Area), 0, 1e-4)
	}
}

// The whole way, projection and all, against geodesic sectors cut by a polygon
// library in longitude and latitude and measured on the ellipsoid; see
// testdata/README.md for what made the figures.
func TestOverlayAgainstGeodesic(t *testing.T) {
	m := flats()
	m.Center = orb.Point{-86.51, 41.62}
	m.LengthM, m.EndGunM, m.EndGunM3H = 396.24, 24.5, 20
	m.EndGunArcs = []Arc{{33.3, 71}, {200, 291.7}}
	m.Stops = &Arc{318.25, 262.5}
	text, err := os.ReadFile("testdata/geodesic_overlay.geojson")
	if err != nil {
		t.Fatal(err)
	}
	fc, err := geojson.UnmarshalFeatureCollection(text)
	if err != nil {
		t.Fatal(err)
	}
	var zones []ZonePolygon
	for _, f := range fc.Features {
		zones = append(zones, ZonePolygon{f.Properties.MustString("zone"), f.Geometry.(orb.MultiPolygon)})
	}
	got := map[[2]string]float64{}
	for _, c := range mustOverlay(t, m, zones, 10) {
		got[[2]string{num2(c.Slice), num2(c.Zone)}] += c.AreaM2
		got[[2]string{num2(c.Slice), "all"}] += c.AreaM2
	}
	var worst float64
	for _, r := range table(t, "geodesic_overlay.csv") {
		g, want := got[[2]string{r["slice"], r["zone"]}], num(t, r["area_m2"])
		worst = max(worst, math.Abs(g-want))
		if math.Abs(g-want) > 0.2 { // of about 14,000 m²: 0.0014 %, an edge half a millimetre off along 400 m
			t.Errorf("slice %s zone %s: %.3f m², geodesic %.3f", r["slice"], r["zone"], g, want)
		}
	}
	t.Logf("worst cell: %.3f m² of slices of 13,701 and 15,448 m²", worst)
}

func num2(i int) string { b, _ := json.Marshal(i); return string(b) }

// realData finds a file of the real data beside the checkout, or skips.
func realData(t testing.TB, name string) *geojson.FeatureCollection {
	t.Helper()
	path := filepath.Join("..", "..", "shared", "data", filepath.FromSlash(name))
	text, err := os.ReadFile(path)
	if err != nil {
		t.Skipf("no real data beside the checkout: %s is not there", path)
	}
	fc, err := geojson.UnmarshalFeatureCollection(text)
	if err != nil {
		t.Fatal(err)
	}
	return fc
}

func multi(g orb.Geometry) orb.MultiPolygon {
	switch g := g.(type) {
	case orb.Polygon:
		return orb.MultiPolygon{g}
	case orb.MultiPolygon:
		return g
	}
	return nil
}

// Field areas against the acres published with USDA Crop Sequence Boundaries.
func TestPublishedFieldAcres(t *testing.T) {
	var worst float64
	fc := realData(t, "usda-csb/csb_sample_100.geojson")
	for _, f := range fc.Features {
		got, want := ZoneM2(multi(f.Geometry))/4046.8564224, f.Properties.MustFloat64("CSBACRES")
		worst = max(worst, math.Abs(got/want-1))
		if math.Abs(got/want-1) > 5e-4 {
			t.Errorf("%v: %.4f ac, published %.4f", f.Properties["CSBID"], got, want)
		}
	}
	t.Logf("%d fields, worst %.4f %%", len(fc.Features), worst*100)
}

// Real irrigated ground in South Carolina: a machine on every thirtieth pivot point,
// as long as its own ground reaches, with every zone near it laid under the
// circle, against the polygon library.
func TestOverlayOnRealGround(t *testing.T) {
	zones := realData(t, "sc-center-pivots/irrigation_zones.geojson")
	points := realData(t, "sc-center-pivots/pivot_points.geojson")
	machines, cells := 0, 0
	var worst, covered float64
	for k := 0; k < len(points.Features); k += 30 {
		at := points.Features[k].Geometry.(orb.Point)
		m := flats()
		m.Center = at
		p := NewPlane(at)
		var near []ZonePolygon
		m.LengthM = 0
		for _, f := range zones.Features {
			z := multi(f.Geometry)
			if !geo.BoundPad(z.Bound(), 500).Contains(at) {
				continue
			}
			near = append(near, ZonePolygon{f.Properties.MustString("COUNTYNM"), z})
			if inside(z, at) {
				for _, q := range z[0][0] {
					xy := p.ToPlane(q)
					m.LengthM = max(m.LengthM, math.Hypot(xy[0], xy[1]))
				}
			}
		}
		if m.LengthM < 60 || m.LengthM > 1000 {
			continue
		}
		got, err := Overlay(m, near, 30)
		if err != nil {
			t.Errorf("point %d: %v", k, err)
			continue
		}
		machines++
		sum := map[[2]int]float64{}
		for _, c := range got {
			sum[[2]int{c.Slice, c.Zone}] = c.AreaM2
			if c.Zone >= 0 {
				covered += c.AreaM2
			}
		}
		for z := range near {
			g := other(t, onPlane(m, near[z].Area))
			for i := range 12 {
				w := other(t, wedge(float64(i)*30, float64(i)*30+30, m.LengthM))
				if !g.Envelope().Intersects(w.Envelope()) {
					continue
				}
				cells++
				want := common(t, w, g)
				off := math.Abs(sum[[2]int{i, z}] - want)
				worst = max(worst, off/w.Area())
				if off > 1e-3*w.Area() || off > 11 { // 0.1 %, and no more than a tolerated overlap
					t.Errorf("point %d slice %d zone %d: %.2f m², polygon library %.2f", k, i, z, sum[[2]int{i, z}], want)
				}
			}
		}
	}
	t.Logf("%d machines, %d cells, %.0f ha of real zones under them, worst cell off by %.2g of its slice", machines, cells, covered/1e4, worst)
	if machines < 50 {
		t.Errorf("only %d machines were compared", machines)
	}
}

func inside(z orb.MultiPolygon, q orb.Point) bool {
	for _, poly := range z {
		odd := false
		r := poly[0]
		for i := 1; i < len(r); i++ {
			a, b := r[i-1], r[i]
			if (a[1] > q[1]) != (b[1] > q[1]) && q[0] < a[0]+(q[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
				odd = !odd
			}
		}
		if odd {
			return true
		}
	}
	return false
}
