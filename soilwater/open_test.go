package soilwater

// The column against Richards' equation with an open surface: bare ground that
// evaporates over a water table, and crops under rain over a table that moves.
// The oracle's side is in testdata, made by the flag -oracle.

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"sandwick/soilwater/hydraulics"
)

// bareCase is thirty rainless days of bare ground from equilibrium with a table.
type bareCase struct {
	soil             string
	tableM, demandMM float64
}

const bareDays = 30

func (k bareCase) oracle(cell float64) (evaporated, last, massError float64) {
	v, _ := hydraulics.Lookup(k.soil)
	days, massError := richards{
		soil: v, tableM: k.tableM, rootM: 0.1, limit: 1, onset: oracleOnsetM, wilt: oracleWiltM, cell: cell, open: &openTop{evaporation: k.demandMM},
	}.run(bareDays)
	for _, d := range days {
		evaporated += d.evaporation
		last = d.evaporation
	}
	return evaporated, last, massError
}

// Bare ground gives the air what it asks for while the ground can carry it, and
// the dry-limit flux of the table beyond: the column by its evaporation layer
// of FAO-56, Richards' equation by itself. The steady limit of dry ground is
// Gardner 1958's, and the oracle's last day must show it.
func TestBareGroundOverTable(t *testing.T) {
	if *recompute {
		makeBare(t)
	}
	names := firstColumn(t, "richards_bare.csv")
	mean, worst, n := 0.0, 0.0, 0
	for i, r := range facts(t, "richards_bare.csv") {
		k := bareCase{names[i], r["table_m"], r["demand_mm"]}
		v := soilNamed(t, k.soil)
		c := column(t, DefaultProfile(v, 1))
		s := c.StartEquilibrium(k.tableM)
		d := Demand{EToMM: k.demandMM / 1.2, KcMax: 1.2, P: 0.5}
		got, up := 0.0, 0.0
		for range bareDays {
			var out Fluxes
			c.Step(&s, &d, &Water{TableM: k.tableM}, &out)
			got += out.EvaporationMM
			up += out.UpfluxMM - out.PercolationMM
		}
		q := min(k.demandMM, hydraulics.SteadyFlux(v, k.tableM, math.Inf(1)))
		if bound := bareDays*q + c.tew; got > bound+1e-6 || up > bareDays*q+c.fc[0] {
			t.Errorf("%+v: %.1f mm evaporated and %.1f mm risen, more than the %.1f mm that can", k, got, up, bound)
		}
		near(t, fmt.Sprintf("%+v: Richards on the last day against the dry limit", k), r["last_day_mm"], q, 0.03*q+0.01)
		e := math.Abs(got - r["et_mm"])
		mean += e
		worst = max(worst, e)
		n++
		if e > 9 {
			t.Errorf("%+v: evaporation %.1f, Richards %.1f mm", k, got, r["et_mm"])
		}
	}
	mean /= float64(n)
	t.Logf("%d cases: mean absolute error %.1f mm, worst %.1f mm", n, mean, worst)
	if n != 48 || mean > 3 {
		t.Errorf("%d cases, mean absolute error %.1f mm", n, mean)
	}
	// One row anew, and with cells of half the size.
	k := bareCase{"field sand", 1.33, 6}
	coarse, last, massError := k.oracle(0.01)
	fine, _, _ := k.oracle(0.005)
	near(t, "oracle", coarse, 29.9, 0.06)
	near(t, "oracle with finer cells", fine, coarse, 0.1)
	near(t, "oracle, last day", last, 0.88, 0.01)
	near(t, "oracle, mass", massError, 0, 1e-3)
}

func makeBare(t *testing.T) {
	rows := [][]string{{"soil", "table_m", "demand_mm", "et_mm", "last_day_mm"}}
	for _, soil := range []string{"field sand", "loamy sand (class average)", "sand (class average)", "loamy sand"} {
		v, _ := hydraulics.Lookup(soil)
		for _, ratio := range []float64{0.5, 0.75, 1, 1.25, 1.5, 2} {
			for _, demand := range []float64{3, 6} {
				k := bareCase{soil, math.Round(100*ratio*hydraulics.Reach(v)) / 100, demand}
				et, last, massError := k.oracle(0.01)
				if !(massError < 1e-2) {
					t.Errorf("%+v: mass error %g mm", k, massError)
				}
				rows = append(rows, []string{k.soil, number(k.tableM, -1), number(k.demandMM, -1), number(et, 2), number(last, 3)})
			}
		}
	}
	writeRows(t, "testdata/richards_bare.csv", rows)
}

// movingCase is forty days of a crop under rain every sixth day over a table
// that moves evenly, from equilibrium.
type movingCase struct {
	soil                                string
	rootMaxM, tableM, fallMPerDay, rain float64
}

const movingDays, movingDemand = 40, 5.0

func (k movingCase) table(t float64) float64 { return k.tableM + k.fallMPerDay*t }

func (k movingCase) rainOn(day int) float64 {
	if day%6 == 2 {
		return k.rain
	}
	return 0
}

// rootM is what the table leaves of the roots all the time.
func (k movingCase) rootM() float64 {
	return min(k.rootMaxM, k.tableM-0.1, k.table(movingDays)-0.1)
}

// flows are sums of a run, mm; down and up are of the daily net flow through
// the bottom of the column.
type flows struct{ et, down, up float64 }

func (k movingCase) oracle() (f flows, massError float64) {
	v, _ := hydraulics.Lookup(k.soil)
	deep := math.Round(100*max(k.tableM, k.table(movingDays))+20) / 100
	before := equilibrium(&v, k.tableM-k.rootMaxM, k.tableM)
	days, massError := richards{
		soil: v, tableM: k.tableM, rootM: k.rootM(), demandMM: movingDemand, limit: 2, onset: oracleOnsetM, wilt: oracleWiltM, cell: 0.01,
		open: &openTop{rain: k.rainOn, table: k.table, deepM: deep, columnM: k.rootMaxM},
	}.run(movingDays)
	for i, d := range days {
		net := k.rainOn(i) - d.uptake - (d.stored - before)
		before = d.stored
		f.et += d.uptake
		f.down += max(net, 0)
		f.up += max(-net, 0)
	}
	return f, massError
}

// What goes through the bottom of the column while the table moves. Without
// rain a falling table lets nothing drain that the roots could drink. With rain
// the net flow is right, but in both directions too much passes: the column
// refills to equilibrium every day and lets rain go the same day, where ground
// in truth lags behind and keeps the rain for the roots of the days that follow.
func TestMovingTable(t *testing.T) {
	if *recompute {
		makeMoving(t)
	}
	names := firstColumn(t, "richards_moving.csv")
	n, netError, etError, extra := 0, 0.0, 0.0, 0.0
	for i, r := range facts(t, "richards_moving.csv") {
		k := movingCase{names[i], r["root_max_m"], r["table_m"], r["fall_m_per_day"], r["rain_mm"]}
		c := oracleColumn(t, k.soil, k.rootMaxM, &Stress{oracleOnsetM, oracleWiltM})
		s := c.StartEquilibrium(k.tableM)
		d := Demand{EToMM: movingDemand, Kcb: 1, KcMax: 1, Cover: 1, P: 0.5, RootM: k.rootM()}
		var got flows
		for day := range movingDays {
			var out Fluxes
			c.Step(&s, &d, &Water{RainMM: k.rainOn(day), TableM: k.table(float64(day + 1))}, &out)
			got.et += out.ETMM
			got.down += out.PercolationMM
			got.up += out.UpfluxMM
		}
		t.Logf("%+v: down %.0f (%.0f), up %.0f (%.0f), net %.0f (%.0f), ET %.0f (%.0f)", k, got.down, r["down_mm"], got.up, r["up_mm"],
			got.down-got.up, r["down_mm"]-r["up_mm"], got.et, r["et_mm"])
		net := math.Abs(got.down - got.up - (r["down_mm"] - r["up_mm"]))
		et := math.Abs(got.et - r["et_mm"])
		n++
		netError += net
		etError += et
		extra += got.down - r["down_mm"]
		if net > 30 || et > 6 {
			t.Errorf("%+v: net %.1f, Richards %.1f mm; ET %.1f and %.1f mm", k, got.down-got.up, r["down_mm"]-r["up_mm"], got.et, r["et_mm"])
		}
		if k.rain == 0 && math.Abs(got.down-r["down_mm"]) > 5 {
			t.Errorf("%+v: %.1f mm down without rain, Richards %.1f mm", k, got.down, r["down_mm"])
		}
	}
	m := float64(n)
	t.Logf("%d cases: net flow off by %.1f mm, ET by %.1f mm, %.0f mm too much down and up, on average", n, netError/m, etError/m, extra/m)
	if n != 24 || netError/m > 9 || etError/m > 1.5 || extra/m > 22 {
		t.Errorf("%d cases: net flow off by %.1f mm, ET by %.1f mm, too much down by %.1f mm", n, netError/m, etError/m, extra/m)
	}
}

func makeMoving(t *testing.T) {
	rows := [][]string{{"soil", "root_max_m", "table_m", "fall_m_per_day", "rain_mm", "et_mm", "down_mm", "up_mm"}}
	for _, soil := range []string{"field sand", "loamy sand (class average)"} {
		for _, root := range []float64{0.6, 1} {
			for _, k := range []movingCase{{tableM: 0.8, fallMPerDay: 0.01}, {tableM: 1.2, fallMPerDay: 0.02}, {tableM: 1, fallMPerDay: 0.01, rain: 20},
				{tableM: 1.3, rain: 20}, {tableM: 1.5, fallMPerDay: -0.01, rain: 20}, {tableM: 2, fallMPerDay: 0.005, rain: 25}} {
				k.soil, k.rootMaxM = soil, root
				f, massError := k.oracle()
				if !(massError < 1e-2) {
					t.Errorf("%+v: mass error %g mm", k, massError)
				}
				rows = append(rows, []string{k.soil, number(k.rootMaxM, -1), number(k.tableM, -1), number(k.fallMPerDay, -1), number(k.rain, -1), number(f.et, 2), number(f.down, 2), number(f.up, 2)})
			}
		}
	}
	writeRows(t, "testdata/richards_moving.csv", rows)
}

func firstColumn(t *testing.T, name string) (out []string) {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatal(name, err)
	}
	for _, r := range rows[1:] {
		out = append(out, r[0])
	}
	return out
}

func number(x float64, digits int) string { return strconv.FormatFloat(x, 'f', digits, 64) }

func writeRows(t *testing.T, name string, rows [][]string) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	w := csv.NewWriter(f)
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// Roots and surface draw on one supply: a crop that asks for 4 and a surface
// that asks for 2 mm/day, thirty days, against Richards' equation.
func TestCropAndSurfaceOverTable(t *testing.T) {
	const rootM = 0.6
	for _, name := range []string{"field sand", "loamy sand (class average)"} {
		v := soilNamed(t, name)
		c := oracleColumn(t, name, rootM, &Stress{oracleOnsetM, oracleWiltM})
		for _, table := range []float64{0.8, 1.0, 1.2, 1.4, 1.7} {
			days, massError := richards{
				soil: v, tableM: table, rootM: rootM, demandMM: 4, limit: 2, onset: oracleOnsetM, wilt: oracleWiltM, cell: 0.01, open: &openTop{evaporation: 2},
			}.run(30)
			near(t, "mass", massError, 0, 1e-2)
			var want, got richardsDay
			for _, d := range days {
				want.evaporation += d.evaporation
				want.uptake += d.uptake
			}
			s := c.StartEquilibrium(table)
			d := Demand{EToMM: 5, Kcb: 0.8, KcMax: 1.2, Cover: 0.5, P: 0.5, RootM: rootM}
			for range 30 {
				var out Fluxes
				c.Step(&s, &d, &Water{TableM: table}, &out)
				got.evaporation += out.EvaporationMM
				got.uptake += out.TranspirationMM
			}
			what := fmt.Sprintf("%s, table at %g m: ", name, table)
			near(t, what+"evaporation", got.evaporation, want.evaporation, 5)
			near(t, what+"transpiration", got.uptake, want.uptake, 9)
			near(t, what+"both", got.evaporation+got.uptake, want.evaporation+want.uptake, 4.5)
		}
	}
}

// Where the roots take all that the table supplies, nothing is left for the
// surface; and the single coefficient has no evaporation layer to moisten.
func TestNoSupplyForTheSurface(t *testing.T) {
	c := column(t, DefaultProfile(soilNamed(t, "field sand"), 1))
	for _, single := range []bool{false, true} {
		d := Demand{EToMM: 6, Kcb: 1, KcMax: 1.2, P: 0.5, RootM: 1, Single: single}
		s := c.Start(0, d, 1.4)
		s.De = c.tew // its top dry, all else full
		var out Fluxes
		c.Step(&s, &d, &Water{TableM: 1.4}, &out)
		if !(out.UpfluxMM > 0.5) {
			t.Errorf("single %v: the table gives %g mm", single, out.UpfluxMM)
		}
		near(t, "De", s.De, c.tew, 1e-12)
	}
}
