package report

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/fields/books"

	"github.com/golang-sql/civil"
)

// demoSeason walks the demo farm to its pinned day.
func demoSeason(t *testing.T, o fields.WalkOptions) *fields.Season {
	t.Helper()
	farm, problems := fields.Load("../../../../testdata/demo")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	season, err := farm.Walk(farm.Today, o)
	if err != nil {
		t.Fatal(err)
	}
	return season
}

// What came in less what went out is the change of storage: of every zone over
// any stretch of days, and of the zone as the mean of its cells.
func TestBalanceCloses(t *testing.T) {
	season := demoSeason(t, fields.WalkOptions{KeepCells: true})
	last := season.Today.AddDays(-1)
	const tolerance = 1e-7 // 1e-9 a day for a hundred days
	for _, from := range []civil.Date{season.From, season.From.AddDays(17), last} {
		b := NewBalance(season, BalanceOptions{From: from, To: last})
		if len(b.Totals) != len(season.Farm.Zones) {
			t.Fatalf("%d totals, want one for each of %d zones", len(b.Totals), len(season.Farm.Zones))
		}
		for _, z := range b.Totals {
			left := z.RainMM + z.NetMM + z.UpfluxMM + z.CorrectionMM - z.ETMM - z.RunoffMM - z.PercolationMM - z.StorageMM
			if math.Abs(float64(left)) > tolerance {
				t.Errorf("%s from %v: %g mm unaccounted for", z.Zone, from, left)
			}
		}
	}
	zones := NewBalance(season, BalanceOptions{From: last, To: last})
	cells := NewBalance(season, BalanceOptions{From: last, To: last, Cells: true})
	for _, zone := range zones.Rows {
		area, et, net := 0.0, 0.0, 0.0
		for _, cell := range cells.Rows {
			if cell.Zone == zone.Zone {
				area += float64(cell.AreaM2)
				et += float64(cell.AreaM2 * cell.ETMM)
				net += float64(cell.AreaM2 * cell.NetMM)
			}
		}
		if math.Abs(et/area-float64(zone.ETMM)) > tolerance || math.Abs(net/area-float64(zone.NetMM)) > tolerance {
			t.Errorf("%s: cells give ET %g and net %g mm, the zone has %v and %v", zone.Zone, et/area, net/area, zone.ETMM, zone.NetMM)
		}
	}
}

func TestBalanceField(t *testing.T) {
	season := demoSeason(t, fields.WalkOptions{})
	last := season.Today.AddDays(-1)
	b := NewBalance(season, BalanceOptions{From: last, To: last, Field: "Heron Mint"})
	if len(b.Rows) == 0 || len(b.Rows) == len(season.Farm.Zones) {
		t.Fatalf("%d rows", len(b.Rows))
	}
	for _, r := range b.Rows {
		if r.Field != "Heron Mint" {
			t.Errorf("row of %s", r.Field)
		}
	}
}

// The JSON names of a row are a promise.
func TestBalanceNames(t *testing.T) {
	season := demoSeason(t, fields.WalkOptions{KeepCells: true})
	last := season.Today.AddDays(-1)
	promised := strings.Fields(`date field zone pivot eto_mm kc kcb ke ks etc_mm et_mm rain_mm runoff_mm irrigation_gross_mm
		irrigation_net_mm upflux_mm percolation_mm depletion_mm taw_mm raw_mm trigger_mm root_depth_m water_table_m closure_mm`)
	for cells, more := range map[bool][]string{false: nil, true: {"slice_from_deg", "slice_to_deg", "area_m2"}} {
		b := NewBalance(season, BalanceOptions{From: last, To: last, Cells: cells})
		data, err := json.Marshal(b.Rows[0])
		if err != nil {
			t.Fatal(err)
		}
		var row map[string]any
		if err := json.Unmarshal(data, &row); err != nil {
			t.Fatal(err)
		}
		for _, name := range append(promised, more...) {
			if _, ok := row[name]; !ok {
				t.Errorf("cells %v: no %s in %s", cells, name, data)
			}
		}
		if _, ok := row["area_m2"]; ok != cells {
			t.Errorf("cells %v: area_m2 present: %v", cells, ok)
		}
	}
}

// In single mode there is one coefficient, and it is not called basal.
func TestBalanceSingleMode(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../../../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	toml, err := os.ReadFile(filepath.Join(dir, "farm.toml"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(toml), "[season]\n", "[season]\nmode = \"single\"\n", 1)
	if err := os.WriteFile(filepath.Join(dir, "farm.toml"), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	farm, problems := fields.Load(dir)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	single, err := farm.Walk(farm.Today, fields.WalkOptions{KeepCells: true})
	if err != nil {
		t.Fatal(err)
	}
	dual := demoSeason(t, fields.WalkOptions{KeepCells: true})
	last := single.Today.AddDays(-1)
	for _, cells := range []bool{false, true} {
		o := BalanceOptions{From: last.AddDays(-30), To: last, Cells: cells}
		one, two := NewBalance(single, o), NewBalance(dual, o)
		if one.Mode != "single" || two.Mode != "dual" {
			t.Errorf("modes %q and %q", one.Mode, two.Mode)
		}
		for _, r := range one.Rows {
			if !math.IsNaN(float64(r.Kcb)) || !math.IsNaN(float64(r.Ke)) || !(r.Kc > 0.1) || math.Abs(float64(r.Kc*r.EToMM-r.ETcMM)) > 1e-9 {
				t.Fatalf("%v %s: Kc %v, Kcb %v, Ke %v, ETc %v of ETo %v", r.Date, r.Zone, r.Kc, r.Kcb, r.Ke, r.ETcMM, r.EToMM)
			}
		}
		for _, r := range two.Rows { // FAO-56 Eq. 69
			if math.Abs(float64(r.Kcb+r.Ke-r.Kc)) > 1e-12 || math.Abs(float64(r.Kc*r.EToMM-r.ETcMM)) > 1e-9 {
				t.Fatalf("%v %s: Kc %v, Kcb %v, Ke %v, ETc %v of ETo %v", r.Date, r.Zone, r.Kc, r.Kcb, r.Ke, r.ETcMM, r.EToMM)
			}
		}
		var b strings.Builder
		if err := one.WriteText(&b, units.SI, 3); err != nil {
			t.Fatal(err)
		}
		if text := b.String(); strings.Contains(text, "Kcb") || !strings.Contains(text, " Kc ") || !strings.Contains(text, "Annex 7") {
			t.Errorf("the table of single mode:\n%.1500s", text)
		}
	}
}

// Days of stress are counted by one rule in all books.
func TestBalanceStressDays(t *testing.T) {
	season := demoSeason(t, fields.WalkOptions{})
	last := season.Today.AddDays(-1)
	b := NewBalance(season, BalanceOptions{From: season.From, To: last})
	for z, total := range b.Totals {
		n := 0
		for d := range season.Days() {
			if books.Stressed(season.Account(d, z)) {
				n++
			}
		}
		if total.StressDays != n {
			t.Errorf("%s: %d days; the season's books count %d", total.Zone, total.StressDays, n)
		}
	}
}
