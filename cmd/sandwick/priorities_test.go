// [priorities] from farm.toml to the plan: what is protected gets its water
// sooner, night is preferred, and both are a term that can be seen everywhere.

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestPrioritiesInEveryForm(t *testing.T) {
	demo, err := filepath.Abs("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	with := func(priorities string) string {
		dir := filepath.Join(t.TempDir(), "farm")
		if err := os.CopyFS(dir, os.DirFS(demo)); err != nil {
			t.Fatal(err)
		}
		f, err := os.OpenFile(filepath.Join(dir, "farm.toml"), os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.WriteString("\n[priorities]\n" + priorities); err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		return dir
	}
	run := func(args ...string) string {
		t.Helper()
		var out, said bytes.Buffer
		p := testProgram(time.Date(2025, 7, 19, 11, 0, 0, 0, time.UTC))
		if status := p.run(context.Background(), args, strings.NewReader(""), &out, &said); status != exitDone {
			t.Fatalf("%v: exit status %d\n%s", args, status, said.String())
		}
		return out.String()
	}
	plain, protected, night := demo, with("protect = [\"Plover Beans\"]\nprotect_times = 10\n"), with("prefer_night_per_h = 6.5\n")
	type plan struct {
		Cost   map[string]any
		Passes []struct {
			Pivot     string
			PumpHours float64 `json:"pump_hours"`
			Pauses    []struct{ From, To time.Time }
			Legs      []struct {
				Water      bool
				Start, End time.Time
			}
		}
		Behind []struct {
			Field  string
			Missed float64 `json:"et_missed_mm"`
		}
		Rests []string `json:"rests_on"`
	}
	ask := func(dir string) (p plan, raw string) {
		t.Helper()
		raw = run("plan", "--json", "--farm", dir)
		if err := json.Unmarshal([]byte(raw), &p); err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for term, v := range p.Cost {
			if x, ok := v.(float64); ok && term != "total" {
				sum += x
			}
		}
		if total := p.Cost["total"].(float64); math.Abs(sum-total) > 1e-6*total {
			t.Errorf("the terms add up to %g, the total is %g", sum, total)
		}
		return p, raw
	}
	beans := func(p plan) (first time.Time) {
		for _, ps := range p.Passes {
			for _, l := range ps.Legs {
				if ps.Pivot == "Plover" && l.Water && (first.IsZero() || l.Start.Before(first)) {
					first = l.Start
				}
			}
		}
		return first
	}
	// day is the share of pumping from 08:00 to 20:00, in steps of a quarter.
	day := func(p plan) float64 {
		by, all := 0, 0
		for _, ps := range p.Passes {
			for _, l := range ps.Legs {
			step:
				for at := l.Start; l.Water && at.Before(l.End); at = at.Add(15 * time.Minute) {
					for _, still := range ps.Pauses {
						if !at.Before(still.From) && at.Before(still.To) {
							continue step
						}
					}
					all++
					if h := at.Hour(); h >= 8 && h < 20 {
						by++
					}
				}
			}
		}
		return float64(by) / float64(all)
	}
	p0, _ := ask(plain)
	p1, raw := ask(protected)
	p2, _ := ask(night)
	if p0.Cost["preference"] != 0.0 || !(p1.Cost["preference"].(float64) > 0) || !(p2.Cost["preference"].(float64) > 0) {
		t.Errorf("preference: %v, %v, %v; want none, some, some", p0.Cost["preference"], p1.Cost["preference"], p2.Cost["preference"])
	}
	if !beans(p1).Before(beans(p0)) {
		t.Errorf("beans get water %v protected, %v else", beans(p1), beans(p0))
	}
	if day(p2) > day(p0)-0.05 {
		t.Errorf("%.2f of the pumping is by day with night preferred, %.2f else", day(p2), day(p0))
	}
	for dir, want := range map[string]string{
		protected: "priorities: stress and lateness of Plover Beans count 10 times what they cost",
		night:     "priorities: an hour of pumping by day, 08:00 to 20:00, counts $6.50 more than it costs",
	} {
		text := strings.Join(strings.Fields(run("plan", "--farm", dir)), " ")
		if !strings.Contains(text, want) || !strings.Contains(text, ", priorities $") {
			t.Errorf("no %q, or no term of the cost, in\n%s", want, text)
		}
	}
	file := filepath.Join(t.TempDir(), "plan.json")
	if err := os.WriteFile(file, []byte(raw), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"--evaluate", file}, {"--hold", "Plover"}} {
		if text := run(append([]string{"plan", "--farm", protected}, args...)...); !strings.Contains(text, "\n  priorities  ") {
			t.Errorf("%v: no row for priorities in\n%s", args, text)
		}
	}
}
