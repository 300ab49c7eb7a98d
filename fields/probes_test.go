// Probe readings: compared by depth range, merged by a Kalman update that is
// worked by hand here, entered in books that close.

package fields

import (
	"math"
	"testing"
	"testing/fstest"

	"sandwick/fields/records"
)

func within(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.10g, want %.10g", what, got, want)
	}
}

const probeHead = "date,zone,top_m,bottom_m,water_pct,available_pct,suction_kpa\n"

// One layer of 1 m holds 12 % when full and 4 % when wilted, and 10 % of TAW is
// missing on the first morning: 112 mm, 11.2 %.
//
// P is 0.04² = 16e-4 and R 0.02² = 4e-4: K = 0.8. A reading of 10 % over the upper
// 0.3 m takes 0.8 × 1.2 % of 300 mm, 2.88 mm, out of every cell. A second one the
// same morning meets P = 0.2 × 16e-4 = 3.2e-4: K = 3.2/7.2. Two days later P has
// grown by 2 × 0.01² from (1 - 3.2/7.2) × 3.2e-4.
func TestMergeByHand(t *testing.T) {
	merge := []string{"zones.geojson", `"water_table_m": null`, `"water_table_m": null, "probes": "merge"`}
	f := mustLoad(t, smallFarm(t, append(merge, "records/probes.csv", "", probeHead+
		"2025-06-01,East,0,0.3,10,,\n2025-06-01,East,0.5,1,,75,\n2025-06-03,East,0,1,9,,\n2025-06-02,West,0,0.3,9,,\n")...))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{KeepCells: true})
	c := s.Probes()
	if len(c) != 4 {
		t.Fatalf("%d checks", len(c))
	}
	within(t, "books", c[0].Model, 0.112, 1e-12)
	within(t, "gain", c[0].Gain, 0.8, 1e-12)
	within(t, "entered", c[0].CorrectMM, 0.8*(0.10-0.112)*300, 1e-9)
	within(t, "books after the first", c[1].ModelContent, 0.112-0.00288, 1e-12)
	within(t, "75 % of 4 to 12 %", c[1].ReadContent, 0.10, 1e-12)
	within(t, "second gain", c[1].Gain, 3.2/7.2, 1e-12)
	p := (1-3.2/7.2)*3.2e-4 + 2e-4
	within(t, "third gain", c[2].Gain, p/(p+4e-4), 1e-12)
	if c[3].Merged || c[3].CorrectMM != 0 || c[3].Kind != ProbeWater || c[3].ZoneIndex != 1 {
		t.Errorf("the west does not merge: %+v", c[3])
	}
	within(t, "the day's account", s.Account(0, 0).CorrectMM, c[0].CorrectMM+c[1].CorrectMM, 1e-9)
	within(t, "of a zone that only compares", s.Account(1, 1).CorrectMM, 0, 0)
	booksClose(t, s)

	sums := SumProbes(c)
	if len(sums) != 3 || sums[0].N != 2 || sums[0].Kind != ProbeWater || sums[1].Kind != ProbeAvailable || sums[2].Zone != 1 {
		t.Fatalf("%+v", sums)
	}
	a, b := c[0].Model-0.10, c[2].Model-0.09
	within(t, "bias", sums[0].Bias, (a+b)/2, 1e-12)
	within(t, "RMSE", sums[0].RMSE, math.Sqrt((a*a+b*b)/2), 1e-12)
	within(t, "bias of percents", sums[1].Bias, c[1].Model-0.75, 1e-12)
	within(t, "as content", sums[1].ContentBias, 0.08*(c[1].Model-0.75), 1e-12)
}

// booksClose holds every cell's storage against the one before: what came, with
// the probes' part, less what went.
func booksClose(t *testing.T, s *Season) {
	t.Helper()
	for c := range s.Farm.Cells() {
		zone := s.Farm.Cells()[c].Zone
		before := s.StartMM[zone]
		for d := range s.Days() {
			x := s.Cell(d, c)
			in := x.RainMM + x.NetMM + x.UpfluxMM + x.CorrectMM
			outMM := x.RunoffMM + x.PercolationMM + x.ETMM
			if gap := x.StorageMM - before - (in - outMM); math.Abs(gap) > 1e-9 {
				t.Fatalf("%s, %s: %g mm unaccounted for", s.Farm.CellName(c), s.Date(d), gap)
			}
			before = x.StorageMM
		}
	}
}

// Books with a water table, four layers, rain and many readings close as well,
// and a reading wetter than the ground can hold drains and is booked so.
func TestMergedBooksClose(t *testing.T) {
	rows := probeHead
	for d := date(t, "2025-05-05"); d.Before(date(t, "2025-08-20")); d = d.AddDays(3) {
		rows += d.String() + ",Middle,0,0.3,38,,\n" + d.String() + ",West,0.1,0.9,,20,\n" + d.String() + ",East,0,0.5,,,60\n"
	}
	m := bigFarm(t).(fstest.MapFS)
	f := mustLoad(t, m)
	compared := mustWalk(t, f, date(t, "2025-08-30"), WalkOptions{})
	m["records/probes.csv"] = &fstest.MapFile{Data: []byte(rows)}
	f = mustLoad(t, m)
	plain := mustWalk(t, f, date(t, "2025-08-30"), WalkOptions{})
	for c := range plain.States {
		if plain.States[c] != compared.States[c] {
			t.Fatal("readings that are only compared change the books")
		}
	}
	for z := range f.Zones {
		f.Zones[z].MergeProbes = true
	}
	s := mustWalk(t, f, date(t, "2025-08-30"), WalkOptions{KeepCells: true})
	booksClose(t, s)
	for z := range f.Zones {
		sum := 0.0
		for d := range s.Days() {
			sum += math.Abs(s.Account(d, z).CorrectMM)
		}
		if !(sum > 10) {
			t.Errorf("%s: %.1f mm entered in all", f.Zones[z].Name, sum)
		}
	}
}

// A reading of this morning corrects what the planner starts from; tomorrow the
// books show it under today.
func TestProbeOfToday(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "zones.geojson", `"water_table_m": null`, `"water_table_m": null, "probes": "merge"`,
		"records/probes.csv", "", probeHead+"2025-06-07,East,0,1,6,,\n2025-06-08,East,0,1,11,,\n"))
	today := mustWalk(t, f, date(t, "2025-06-07"), WalkOptions{})
	tomorrow := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	if mm := today.CorrectTodayMM[0]; !(mm < -5) || mm != tomorrow.Account(6, 0).CorrectMM {
		t.Errorf("entered today %g mm, in the books of the day %g", mm, tomorrow.Account(6, 0).CorrectMM)
	}
	if n := len(today.Probes()); n != 1 {
		t.Errorf("%d readings known on the 7th, want 1: the one of the 8th is not", n)
	}
	held := 0.0
	for _, mm := range today.States[0].Layer {
		held += mm
	}
	within(t, "what is planned from", held, today.Account(5, 0).StorageMM+today.CorrectTodayMM[0], 5) // cells differ by their water
}

// By depth range: the upper layers of a profile that dries from the top.
func TestProbeDepths(t *testing.T) {
	f := lowFarm(t, "records/probes.csv", "", probeHead+
		"2025-05-20,East,0,0.25,9,,\n2025-05-20,East,0.75,1,9,,\n2025-05-20,East,0.1,0.9,9,,\n"+
		"2025-05-20,East,0.8,1.3,9,,\n2025-05-20,East,0.9,1.3,9,,\n2025-05-01,East,0,0.3,9,,\n")
	s := mustWalk(t, f, date(t, "2025-05-20"), WalkOptions{})
	c := s.Probes()
	if c[0].Skip != ProbeTooEarly || !math.IsNaN(c[0].Model) {
		t.Errorf("the day before the books begin: %+v", c[0])
	}
	c = c[1:]
	from, _ := f.ZoneCells(0)
	layer := s.States[from].Layer
	within(t, "first quarter", c[0].Model, layer[0]/250, 1e-12)
	within(t, "last quarter", c[1].Model, layer[3]/250, 1e-12)
	within(t, "the middle", c[2].Model, (0.6*layer[0]+layer[1]+layer[2]+0.6*layer[3])/800, 1e-12)
	if !(c[0].Model < c[1].Model) {
		t.Error("the top should be drier than the foot")
	}
	within(t, "what of it lies in the ground of the books", c[3].ToM, 1, 1e-9)
	if c[3].Skip != ProbeTooDeep || c[4].Skip != ProbeTooDeep {
		t.Errorf("0.2 of 0.5 m and 0.1 of 0.4 m are not most of it: %v, %v", c[3].Skip, c[4].Skip)
	}
}

// Suctions go by the soil's curve, van Genuchten 1980 Eq. 21 written out here
// for field sand: θ = 0.03 + 0.37 (1+(3.5 h)^2.2)^-(1-1/2.2), h in m of water.
func TestProbeSuction(t *testing.T) {
	f := lowFarm(t, "records/probes.csv", "", probeHead+"2025-05-20,East,0,0.25,,,10\n2025-05-20,West,0,1,,,30\n")
	s := mustWalk(t, f, date(t, "2025-05-20"), WalkOptions{})
	theta := func(kPa float64) float64 {
		h := kPa / 9.80665
		return 0.03 + 0.37*math.Pow(1+math.Pow(3.5*h, 2.2), -(1-1/2.2))
	}
	for i, c := range s.Probes() {
		within(t, "content at the reading", c.ReadContent, theta(c.SuctionKPa), 1e-12)
		within(t, "content at the books' suction", theta(c.Model), c.ModelContent, 1e-9)
		if c.Kind != ProbeSuction || c.Skip != ProbeCompared {
			t.Errorf("%d: %+v", i, c)
		}
	}
	curve, err := f.meanCurve(0, 0, 0.3)
	if err != nil {
		t.Fatal(err)
	}
	if got := suctionAt(curve, 0.5); got != 0 {
		t.Errorf("wetter than saturated: %g m", got)
	}
	if got := suctionAt(curve, 0.01); !math.IsNaN(got) {
		t.Errorf("drier than residual: %g m", got)
	}
}

// Nothing to take: a reading of nothing leaves no layer below nothing.
func TestMergeNeverBelowNothing(t *testing.T) {
	f := lowFarm(t, "zones.geojson", `"water_table_m": null`, `"water_table_m": null, "probes": "merge"`, "farm.toml", "[prices]", "[probes]\nerror_pct = 0.1\nmodel_error_pct = 20\n[prices]")
	for i := range 40 {
		d := date(t, "2025-05-03").AddDays(i)
		f.Records.Probes = append(f.Records.Probes, records.Probe{Date: d, Zone: "East", TopM: 0, BottomM: 1, WaterFrac: 0, AvailableFrac: math.NaN(), SuctionKPa: math.NaN()})
	}
	s := mustWalk(t, f, date(t, "2025-06-25"), WalkOptions{KeepCells: true})
	booksClose(t, s)
	for _, st := range s.States {
		for l, mm := range st.Layer[:4] {
			if !(mm >= -1e-12) {
				t.Errorf("layer %d holds %g mm", l, mm)
			}
		}
	}
}
