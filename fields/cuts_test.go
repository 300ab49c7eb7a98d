// Cuts recorded and planned, seen from the morning of a day.

package fields

import (
	"slices"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/crop"
	"sandwick/pivot/runplan"
)

// mintFarm is the small farm under peppermint with cuts.
func mintFarm(t *testing.T, cuts string) *Farm {
	t.Helper()
	return mustLoad(t, smallFarm(t,
		"farm.toml", `like = "cover"`, `like = "peppermint"`,
		"farm.toml", "start = 2025-05-01", "start = 2025-04-10",
		"farm.toml", "planned_cuts = [2025-06-20]", "planned_cuts = [2025-06-08, 2025-07-28]",
		"records/cuts.csv", "", "date,field,hay_kg,oil_kg,note\n"+cuts))
}

// A cut that is recorded counts from its day on, and stands for the planned cut
// that it is near to: yesterday's, today's, but not tomorrow's.
func TestCutKnownThisMorning(t *testing.T) {
	today := date(t, "2025-06-08")
	for _, c := range []struct {
		name, cuts string
		stage      crop.Stage // of the crop today
		since      int        // days of the cycle before today
		ahead      []string
		dry        bool
	}{
		{"none", "", crop.Initial, 0, []string{"2025-06-08", "2025-07-28"}, true},             // planned for today: drawn as cut today
		{"yesterday", "2025-06-07,Round,,,\n", crop.Initial, 1, []string{"2025-07-28"}, true}, // mown
		{"three days ago", "2025-06-05,Round,,,\n", crop.Initial, 3, []string{"2025-07-28"}, false},
		{"today", "2025-06-08,Round,,,\n", crop.Initial, 0, []string{"2025-07-28"}, true},
		{"tomorrow", "2025-06-09,Round,,,\n", crop.Initial, 0, []string{"2025-06-08", "2025-07-28"}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := mintFarm(t, c.cuts)
			s := mustWalk(t, f, today, WalkOptions{})
			var ahead []string
			for _, d := range f.CutsAhead(0, today) {
				ahead = append(ahead, d.String())
			}
			if !slices.Equal(ahead, c.ahead) {
				t.Errorf("cuts ahead %v; want %v", ahead, c.ahead)
			}
			got := s.CropAhead()[0][0].Crop
			if got.Stage != c.stage {
				t.Errorf("today's stage is %v; want %v", got.Stage, c.stage)
			}
			// The recovery's initial stage has five days.
			if next := s.CropAhead()[0][5-c.since].Crop.Stage; next != crop.Development {
				t.Errorf("five days after the cut the stage is %v", next)
			}
			now := f.StartOfDay(today).Add(6 * time.Hour)
			p := s.Ahead(now, 5).Problem
			if windows := p.Machines[0].Zones[0].NoWater; (len(windows) > 0) != c.dry {
				t.Errorf("no water in %v", windows)
			}
			if d := p.Machines[0].Zones[0].Demand[0].Kcb; d != 0.4 { // kc_ini of the small farm's crop
				t.Errorf("Kc today is %g; want that of a crop just cut", d)
			}
		})
	}
	// Standing until a cut planned for later, a cut of today shows.
	f := mustLoad(t, smallFarm(t,
		"farm.toml", `like = "cover"`, `like = "peppermint"`, "farm.toml", "start = 2025-05-01", "start = 2025-03-20",
		"farm.toml", "kc_mid = 0.4", "kc_mid = 1.1", "records/cuts.csv", "", "date,field,hay_kg,oil_kg,note\n2025-06-08,Round,,,\n"))
	s := mustWalk(t, f, today, WalkOptions{})
	if got := s.CropAhead()[0][0].Crop.Stage; got != crop.Initial {
		t.Errorf("cut today, 12 days before the plan: the crop is in stage %v", got)
	}
	if ahead := f.CutsAhead(0, today); len(ahead) != 0 {
		t.Errorf("the cut planned for %v is still ahead", ahead)
	}
	if years, _ := f.Years(today); s.DryScenario(years, 3, f.Outlook.Rule).Fields[0].Demand[0].Kcb != 0.4 {
		t.Error("scenarios have it standing")
	}
}

// Which planned cuts recorded ones stand for.
func TestOpenCuts(t *testing.T) {
	days := func(list ...string) (out []civil.Date) {
		for _, d := range list {
			out = append(out, date(t, d))
		}
		return out
	}
	for _, c := range []struct {
		name                    string
		planned, recorded, open []civil.Date
	}{
		{"nothing recorded", days("2025-06-20", "2025-08-05"), nil, days("2025-06-20", "2025-08-05")},
		{"late by 14 days", days("2025-06-20", "2025-08-05"), days("2025-07-04"), days("2025-08-05")},
		{"early by 14 days", days("2025-06-20", "2025-08-05"), days("2025-06-06"), days("2025-08-05")},
		{"by 15 days: another cut", days("2025-06-20", "2025-08-05"), days("2025-07-05"), days("2025-06-20", "2025-08-05")},
		{"between two planned: the nearest only", days("2025-06-20", "2025-07-08"), days("2025-06-27"), days("2025-07-08")},
		{"as near to both: the earlier", days("2025-07-08", "2025-06-20"), days("2025-06-29"), days("2025-07-08")},
		{"mown on two days: one planned cut", days("2025-06-20", "2025-07-03"), days("2025-06-19", "2025-06-22"), days("2025-07-03")},
	} {
		if got := openCuts(c.planned, c.recorded); !slices.Equal(got, c.open) {
			t.Errorf("%s: %v; want %v", c.name, got, c.open)
		}
	}
}

// Mown ground stays dry and uncrossed on the day of the cut and the days after,
// as many as farm.toml has.
func TestDryAfterCut(t *testing.T) {
	for _, c := range []struct {
		days, today string
		water, run  string // until which day, 00:00; none: not at all
	}{
		{"", "2025-06-08", "2025-06-11", "2025-06-11"},
		{"", "2025-06-10", "2025-06-11", "2025-06-11"},
		{"", "2025-06-11", "", ""},
		{"dry_days_after_cut = 0", "2025-06-08", "2025-06-09", "2025-06-09"},
		{"dry_days_after_cut = 0", "2025-06-09", "", ""},
		{"dry_days_after_cut = 5", "2025-06-11", "2025-06-14", "2025-06-14"},
	} {
		f := mustLoad(t, smallFarm(t, "farm.toml", "dry_days_before_cut = 2\nplanned_cuts = [2025-06-20]\nno_water = [{from = 2025-06-15, to = 2025-06-15, why = \"field day\"}]", c.days,
			"records/cuts.csv", "", "date,field,hay_kg,oil_kg,note\n2025-06-08,Round,,,\n"))
		s := mustWalk(t, f, date(t, c.today), WalkOptions{})
		m := s.Problem(f.StartOfDay(s.Today), 10).Machines[0]
		for _, w := range []struct {
			what string
			got  []runplan.Window
			want string
		}{{"water", m.Zones[0].NoWater, c.water}, {"running", m.NoRun, c.run}} {
			if w.want == "" {
				if len(w.got) > 0 {
					t.Errorf("%q on %s: no %s in %v", c.days, c.today, w.what, w.got)
				}
				continue
			}
			if cut, until, ok := f.Mown(0, s.Today); !ok || cut != date(t, "2025-06-08") || until != date(t, w.want) {
				t.Errorf("%q on %s: mown on %v until %v, %v", c.days, c.today, cut, until, ok)
			}
			if len(w.got) != 1 || !w.got[0].From.Equal(f.StartOfDay(date(t, "2025-06-08"))) || !w.got[0].To.Equal(f.StartOfDay(date(t, w.want))) || w.got[0].Why != "dry for the cut of 2025-06-08" {
				t.Errorf("%q on %s: no %s in %v, want until %s", c.days, c.today, w.what, w.got, w.want)
			}
		}
	}
}
