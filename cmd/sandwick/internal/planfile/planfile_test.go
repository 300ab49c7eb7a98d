package planfile

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/pivot/runplan"
)

const good = `{
  "made_at": "2025-07-19T06:00:00-05:00",
  "to": "2025-07-28",
  "passes": [
    {
      "pivot": "Heron",
      "start": "2025-07-19T08:30:00-05:00",
      "direction": "ccw",
      "start_deg": 180,
      "legs": [
        {"from_deg": 180, "to_deg": 90.5, "water": true, "timer_pct": 42.5, "gross_mm": 12},
        {"from_deg": 90.5, "to_deg": 180, "water": false, "timer_pct": 100}
      ],
      "pauses": [{"from": "2025-07-19T14:00:00-05:00", "to": "2025-07-19T19:00:00-05:00", "why": "load control"}]
    }
  ]
}
`

var pivots = []string{"Heron", "Plover"}

func TestRead(t *testing.T) {
	f, problems := Read("p.json", []byte(good), pivots, time.UTC)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	p := f.Passes[0]
	switch {
	case len(f.Passes) != 1 || p.Pivot != "Heron" || p.Clockwise || p.StartDeg != 180:
		t.Errorf("%+v", p)
	case !p.Start.Equal(time.Date(2025, 7, 19, 13, 30, 0, 0, time.UTC)) || p.Start.Location() != time.UTC:
		t.Errorf("starts %s", p.Start)
	case len(p.Legs) != 2 || p.Legs[0].ToDeg != 90.5 || !p.Legs[0].Water || p.Legs[0].TimerPct != 42.5 || p.Legs[1].Water:
		t.Errorf("%+v", p.Legs)
	case len(p.Pauses) != 1 || p.Pauses[0].Why != "load control":
		t.Errorf("%+v", p.Pauses)
	case f.Legs[0][0].GrossMM != 12 || !math.IsNaN(f.Legs[0][1].GrossMM) || f.Legs[0][0].Pos.String() != "p.json:11:9":
		t.Errorf("%+v", f.Legs)
	case f.To.String() != "2025-07-28":
		t.Errorf("to %s", f.To)
	}
	if f, problems := Read("p.json", []byte(`{"passes": []}`), pivots, time.UTC); len(problems) > 0 || len(f.Passes) != 0 || !f.MadeAt.IsZero() {
		t.Errorf("a plan that runs nothing: %+v %v", f, problems)
	}
}

// TestReadsWhatIsWritten: what decides a pass comes back as it was.
func TestReadsWhatIsWritten(t *testing.T) {
	loc := time.FixedZone("", -5*3600)
	at := time.Date(2025, 7, 19, 6, 0, 0, 0, loc)
	pass := runplan.Pass{
		Pivot: "Plover", Start: at, Clockwise: true, StartDeg: 20,
		Pauses: []runplan.Window{{From: at.Add(time.Hour), To: at.Add(2 * time.Hour)}},
		Legs:   []runplan.Leg{{FromDeg: 20, ToDeg: 145.123456789, Water: true, TimerPct: 33.3}, {FromDeg: 145.123456789, ToDeg: 20, TimerPct: 100}},
	}
	plan := report.NewPlan(report.PlanFacts{
		Problem: &runplan.Problem{Now: at, Days: 5}, Plan: &runplan.Plan{Passes: []runplan.Pass{pass}},
	})
	var b bytes.Buffer
	if err := report.WriteJSON(&b, plan); err != nil {
		t.Fatal(err)
	}
	f, problems := Read("p.json", b.Bytes(), pivots, loc)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	got := f.Passes[0]
	if got.Pivot != pass.Pivot || !got.Start.Equal(pass.Start) || !got.Clockwise || got.StartDeg != pass.StartDeg || len(got.Pauses) != 1 || len(got.Legs) != 2 {
		t.Errorf("%+v", got)
	}
	for i := range pass.Legs {
		if g, w := got.Legs[i], pass.Legs[i]; g.FromDeg != w.FromDeg || g.ToDeg != w.ToDeg || g.Water != w.Water || g.TimerPct != w.TimerPct {
			t.Errorf("leg %d: %+v, want %+v", i, g, w)
		}
	}
}

func TestProblems(t *testing.T) {
	edit := func(old, to string) string { return strings.Replace(good, old, to, 1) }
	for _, c := range []struct{ name, text, want string }{
		{"cut short", good[:200], "p.json:9:21: the file ends in the middle"},
		{"comma", edit(`"start_deg": 180,`, `"start_deg": 180`), "is not JSON"},
		{"empty", "", "p.json:1:1: the file ends in the middle"},
		{"list", "[]", `p.json:1:1: a plan: is not an object {...}`},
		{"twice", edit(`"start_deg": 180,`, `"start_deg": 180, "start_deg": 181,`), `p.json:9:25: "start_deg" stands twice in one object`},
		{"two documents", good + "{}", "p.json:18:1: something follows the end of the plan"},
		{"key", edit(`"timer_pct": 42.5`, `"timer_pc": 42.5`), `p.json:11:58: timer_pc: is no name of a leg; did you mean "timer_pct"?`},
		{"key needed", edit(`"timer_pct": 42.5`, `"timer": 42.5`), "p.json:11:9: timer_pct: is missing; want the timer setting, 0.1 to 100 percent"},
		{"pivot", edit(`"Heron"`, `"Herron"`), `p.json:6:16: pivot: the farm has no such pivot; did you mean "Heron"? (got "Herron")`},
		{"time", edit("T08:30:00-05:00", " 8:30"), `p.json:7:16: start: want a time with its offset, such as 2026-07-14T06:00:00-05:00 (got "2025-07-19 8:30")`},
		{"direction", edit(`"ccw"`, `"left"`), `p.json:8:20: direction: want "cw" (clockwise) or "ccw" (got "left")`},
		{"azimuth", edit("90.5", "390.5"), `p.json:11:37: to_deg: want an azimuth from 0 to 360 degrees (got "390.5")`},
		{"timer", edit("42.5", "0"), `timer_pct: want the timer setting, 0.1 to 100 percent (got "0")`},
		{"water", edit(`"water": true`, `"water": "yes"`), `p.json:11:52: water: want true or false (got "yes")`},
		{"number as text", edit("42.5", `"42.5"`), `timer_pct: want the timer setting`},
		{"null", edit("42.5", "null"), `timer_pct: want the timer setting, 0.1 to 100 percent (got "null")`},
		{"huge", edit("42.5", "1e999"), `timer_pct: want the timer setting`},
		{"legs", edit(`"legs": [`, `"legs": [], "why": [`), "legs: is empty; a pass has at least one leg"},
		{"no passes", `{"made_at": "2025-07-19T06:00:00-05:00"}`, "p.json:1:1: passes: is missing; want a list [...]"},
		{"pause", edit("T19:00:00", "T13:00:00"), "p.json:14:18: pauses: ends before it begins"},
		{"deep", strings.Repeat("[", 100), "is nested too deep for a plan"},
	} {
		f, problems := Read("p.json", []byte(c.text), pivots, time.UTC)
		if f != nil || !strings.Contains(problems.Error(), c.want) {
			t.Errorf("%s: got %q, want %q in it", c.name, problems.Error(), c.want)
		}
	}
}

// FuzzRead: no text stops the program, and whatever is wrong has a place.
func FuzzRead(f *testing.F) {
	f.Add([]byte(good))
	f.Add([]byte(`{"passes":[{"pivot":1e400,"legs":[null,{}],"pauses":[[]]}]}`))
	f.Add([]byte("\xff{\x00"))
	f.Add([]byte(`{"passes": [}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		file, problems := Read("p.json", text, pivots, time.UTC)
		if (file == nil) != (len(problems) > 0) {
			t.Fatalf("file %v with problems %v", file, problems)
		}
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || p.Msg == "" {
				t.Errorf("a problem without a place: %+v", p)
			}
		}
		if file != nil {
			for _, p := range file.Passes {
				if p.Pivot == "" || p.Start.IsZero() || len(p.Legs) == 0 || math.IsNaN(float64(p.StartDeg)) {
					t.Errorf("a pass that does not say what decides it: %+v", p)
				}
			}
		}
	})
}
