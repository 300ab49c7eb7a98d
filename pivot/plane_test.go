package pivot

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
	"github.com/paulmach/orb/planar"
)

// table reads a file of testdata into rows by column name.
func table(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, r := range all[1:] {
		row := map[string]string{}
		for i, c := range all[0] {
			row[c] = strings.TrimSpace(r[i])
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		t.Fatalf("testdata/%s has no rows", name)
	}
	return rows
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Points by azimuth and distance against geodesics of the WGS 84 ellipsoid
// (geographiclib-geodesic, see testdata/README.md).
func TestPlaneAgainstGeodesicPoints(t *testing.T) {
	worst := map[float64]float64{}
	for _, r := range table(t, "geodesic_points.csv") {
		center := orb.Point{num(t, r["lon0_deg"]), num(t, r["lat0_deg"])}
		at := orb.Point{num(t, r["lon_deg"]), num(t, r["lat_deg"])}
		az, dist := Azimuth(num(t, r["azimuth_deg"])), num(t, r["distance_m"])
		p := NewPlane(center)
		u, xy := unit(az), p.ToPlane(at)
		off := math.Hypot(xy[0]-u[0]*dist, xy[1]-u[1]*dist)
		worst[dist] = max(worst[dist], off)
		if off > map[float64]float64{400: 1e-8, 1000: 2e-8, 5000: 2e-6}[dist] { // the figures in the doc comment
			t.Errorf("%v: plane position %v, geodesic %v at %v degrees: off by %.3g m", r, xy, dist, az, off)
		}
		gotAz, gotDist := azimuthOf(xy), math.Hypot(xy[0], xy[1])
		close(t, "distance", gotDist, dist, 2e-6)
		close(t, "azimuth", float64((gotAz - az + 180).Norm()), 180, 1e-7)
		back := p.ToLonLat(orb.Point{u[0] * dist, u[1] * dist})
		close(t, "latitude", back.Lat(), at.Lat(), 2e-11)
		close(t, "longitude", math.Remainder(back.Lon()-at.Lon(), 360), 0, 5e-11)
	}
	t.Logf("worst position error by distance from the pivot point, m: %v", worst)
}

// Distances between two points neither of which is the centre, at 1 and 5 km.
func TestPlaneAgainstGeodesicPairs(t *testing.T) {
	worst := map[bool]float64{}
	for _, r := range table(t, "geodesic_pairs.csv") {
		p := NewPlane(orb.Point{num(t, r["lon0_deg"]), num(t, r["lat0_deg"])})
		a := p.ToPlane(orb.Point{num(t, r["lon1_deg"]), num(t, r["lat1_deg"])})
		b := p.ToPlane(orb.Point{num(t, r["lon2_deg"]), num(t, r["lat2_deg"])})
		want := num(t, r["distance_m"])
		// d²/(6R²) of the farthest point, 4.1e-9 at 1 km and 1.03e-7 at 5 km, and
		// 1e-7 m for the printed digit.
		d := math.Hypot(a[0], a[1])
		close(t, "distance", planar.Distance(a, b), want, want*d*d/6/6.33e6/6.33e6+1.5e-7)
		worst[d > 2000] = max(worst[d > 2000], math.Abs(planar.Distance(a, b)/want-1))
	}
	t.Logf("worst relative error between points 1 km from the centre %.2g, 5 km %.2g", worst[false], worst[true])
}

// Areas against geodesic polygons of the ellipsoid, and against a sphere.
func TestZoneAreaAgainstGeodesic(t *testing.T) {
	worst := 0.0
	for _, r := range table(t, "geodesic_polygons.csv") {
		var ring orb.Ring
		for _, pos := range strings.Split(r["positions"], ";") {
			f := strings.Fields(pos)
			ring = append(ring, orb.Point{num(t, f[0]), num(t, f[1])})
		}
		ring = append(ring, ring[0])
		want := num(t, r["area_m2"])
		got := ZoneM2(orb.MultiPolygon{{ring}})
		// The plane is centred on the first corner, so the far side of the 5 km circle
		// is 10 km off: d²/(6R²) = 4.1e-7 there, and every edge may bow by edgeSagM.
		if off := math.Abs(got - want); off > 3e-7*want+edgeSagM*2/3*geo.Length(ring) {
			t.Errorf("%s: got %.4f m², geodesic %.4f, off by %.2g of it", r["name"], got, want, off/want)
		}
		worst = max(worst, math.Abs(got/want-1))
		if strings.Contains(r["name"], "179.995") {
			continue // the spherical formula does not cross the 180th meridian
		}
		// On a sphere of radius a with the same longitudes and latitudes every area is
		// too large or small by MN/a²; the rest is the change of MN over the polygon.
		lat := ring.Bound().Center().Lat() * math.Pi / 180
		w := 1 - 0.00669437999014*math.Pow(math.Sin(lat), 2)
		mn := (1 - 0.00669437999014) / (w * w) // M N / a²
		close(t, r["name"]+" against the sphere", got/(geo.Area(ring)*mn), 1, 2e-5)
	}
	t.Logf("worst area, as a part of it: %.2g", worst)
}

func TestPlaneRoundTripProperty(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 3000 {
		center := orb.Point{rng.Float64()*360 - 180, rng.Float64()*170 - 85}
		p := NewPlane(center)
		d := math.Pow(10, rng.Float64()*6-1) // 0.1 m to 100 km
		u := unit(Azimuth(rng.Float64() * 360))
		xy := orb.Point{u[0] * d, u[1] * d}
		q := p.ToLonLat(xy)
		back := p.ToPlane(q)
		if off := planar.Distance(xy, back); !(off < 2e-8) || math.Abs(q.Lon()) > 180 {
			t.Fatalf("seed 3,5: centre %v, %v m -> %v -> %v, off by %g m", center, xy, q, back, off)
		}
	}
	center := orb.Point{10, 50}
	if got := NewPlane(center).ToPlane(center); got != (orb.Point{}) || azimuthOf(got) != 0 {
		t.Errorf("the centre lies at %v, azimuth %v", got, azimuthOf(got))
	}
}
