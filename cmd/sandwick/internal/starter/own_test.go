package starter

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sandwick/fields"
	"sandwick/pivot"

	"github.com/golang-sql/civil"
	"github.com/paulmach/orb"
)

// A farm moved to anywhere pivots stand reads without a problem and has its
// ground where it was said to be.
func TestOwn(t *testing.T) {
	for name, o := range map[string]Own{
		"north":   {Name: `Q "1" \ é`, Timezone: "America/Chicago", Center: orb.Point{-95.35, 44.33}, LengthM: 317, ElevationM: 323},
		"south":   {Name: "South", Timezone: "Australia/Sydney", SI: true, Center: orb.Point{148.004, -33.5035}, LengthM: 372, ElevationM: 250, FlowM3H: 180, HoursAtFull: 17},
		"equator": {Name: "Equator", Timezone: "Africa/Nairobi", SI: true, Center: orb.Point{37.1, 0}, LengthM: 60, ElevationM: 1900},
		"far":     {Name: "Far", Timezone: "Pacific/Auckland", Center: orb.Point{179.9, -45.2}, LengthM: 1000, ElevationM: 0},
		"high":    {Name: "High", Timezone: "Europe/Helsinki", SI: true, Center: orb.Point{25, 65}, LengthM: 400, ElevationM: 20},
	} {
		dir := filepath.Join(t.TempDir(), "farm")
		if _, err := o.Write(dir); err != nil {
			t.Fatal(name, err)
		}
		f, problems := fields.Load(dir)
		if len(problems) > 0 {
			t.Errorf("%s: %v", name, problems)
			continue
		}
		if len(f.Doubts)+len(f.Weather.Doubts) > 0 {
			t.Errorf("%s: doubts: %v %v", name, f.Doubts, f.Weather.Doubts)
		}
		m := &f.Pivots[0].Machine
		if f.Name != o.Name || math.Abs(m.Center[0]-o.Center[0]) > 1e-6 || math.Abs(m.Center[1]-o.Center[1]) > 1e-6 || math.Abs(m.LengthM-o.LengthM) > 0.5 {
			t.Errorf("%s: %q with a pivot at %v of %.1f m", name, f.Name, m.Center, m.LengthM)
		}
		// The whole circle is ground: pi r^2.
		if want := math.Pi * m.LengthM * m.LengthM; math.Abs(f.ZoneAreaM2(0)/want-1) > 1e-3 {
			t.Errorf("%s: the zone has %.0f m2, the circle %.0f", name, f.ZoneAreaM2(0), want)
		}
		if _, err := f.Walk(civil.Date{Year: 2025, Month: 6, Day: 13}, fields.WalkOptions{}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A quarter section is half a mile square, 2640 ft; the circle in it has a radius
// of 1320 ft (43 U.S.C. 751-753: a section is one mile square).
func TestCircle(t *testing.T) {
	const half = 1320 * 0.3048
	center := orb.Point{-98.1, 41.9}
	plane := pivot.NewPlane(center)
	for _, order := range [][]int{{0, 1, 2, 3}, {3, 2, 1, 0}, {2, 3, 0, 1}} {
		corners := []orb.Point{}
		for _, k := range order {
			corners = append(corners, plane.ToLonLat([]orb.Point{{-half, -half}, {half, -half}, {half, half}, {-half, half}}[k]))
		}
		at, length, err := Circle(corners)
		if err != nil || math.Abs(length-half) > 0.05 || math.Hypot(plane.ToPlane(at)[0], plane.ToPlane(at)[1]) > 0.05 {
			t.Errorf("%v: %v, %.2f m, %v; want %.2f m", order, at, length, err, half)
		}
	}
	square := []orb.Point{{0, 0}, {0.01, 0}, {0.01, 0.01}, {0, 0.01}}
	for name, corners := range map[string][]orb.Point{
		"three":     square[:3],
		"crossed":   {square[0], square[2], square[1], square[3]},
		"one place": {square[0], square[0], square[0], square[0]},
	} {
		if at, length, err := Circle(corners); err == nil {
			t.Errorf("%s: %v, %.1f m", name, at, length)
		}
	}
}

// A folder with something in it is left alone.
func TestOwnLeavesOthersFilesAlone(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mine"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	o := Own{Name: "x", Timezone: "UTC", LengthM: 100}
	if written, err := o.Write(dir); err == nil || len(written) > 0 || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("%v %v", written, err)
	}
}
