// A plan edited by hand and given back: what is wrong is named, with its place.

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// edited is the demo's plan as JSON, to be edited.
type edited map[string]any

func (e edited) passes() []any { return e["passes"].([]any) }

// pass is the first pass of a pivot.
func (e edited) pass(pivot string) map[string]any {
	for _, p := range e.passes() {
		if ps := p.(map[string]any); ps["pivot"] == pivot {
			return ps
		}
	}
	panic("no pass of " + pivot)
}

func leg(pass map[string]any, i int) map[string]any { return pass["legs"].([]any)[i].(map[string]any) }

func TestEvaluateEdits(t *testing.T) {
	demo, err := filepath.Abs("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	run := func(args ...string) (int, string) {
		t.Helper()
		var out, said bytes.Buffer
		p := testProgram(time.Date(2025, 7, 19, 11, 0, 0, 0, time.UTC))
		status := p.run(context.Background(), args, strings.NewReader(""), &out, &said)
		return status, out.String() + said.String()
	}
	// A machine that runs one way only, on the same farm.
	oneWay := filepath.Join(t.TempDir(), "oneway")
	if err := os.CopyFS(oneWay, os.DirFS(demo)); err != nil {
		t.Fatal(err)
	}
	toml, err := os.ReadFile(filepath.Join(oneWay, "farm.toml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(oneWay, "farm.toml"), bytes.Replace(toml, []byte("reversible = true"), []byte("reversible = false"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	status, text := run("plan", "--farm", demo, "--json")
	if status != exitDone {
		t.Fatal(text)
	}
	only := func(e edited, pivot, start string) map[string]any {
		ps := e.pass(pivot)
		ps["start"], ps["pauses"] = start, []any{}
		e["passes"] = []any{ps}
		return ps
	}
	for _, c := range []struct {
		name string
		edit func(edited)
		want string // after the place, white space as one blank
		farm string
	}{
		{"into no-run hours", func(e edited) { only(e, "Bittern", "2025-07-21T14:30:00-05:00") }, `well no-run hours: Bittern, leg 1, Mon 21 Jul 14:30: load control\.`, demo},
		{"timer below the range", func(e edited) { leg(e.pass("Heron"), 0)["timer_pct"] = 5 }, `timer range: Heron, leg 1 of the pass of .*: timer 5 %; the limit is 8 %\.`, demo},
		{"two at once on a well for one", func(e edited) {
			heron, plover := e.pass("Heron"), e.pass("Plover")
			heron["start"], plover["start"] = "2025-07-19T06:00:00-05:00", "2025-07-19T08:00:00-05:00"
			e["passes"] = []any{heron, plover}
		}, `well flow: Reed, .*: .* gpm are drawn by Heron and Plover; it gives 900 gpm\.`, demo},
		{"water before a cut", func(e edited) { only(e, "Heron", "2025-07-26T06:00:00-05:00") }, `no-water period: Heron, leg \d, Sat 26 Jul .*: dry for the cut of Thu 31 Jul\.`, demo},
		{"the wrong way", func(e edited) { only(e, "Heron", "2025-07-19T06:00:00-05:00")["direction"] = "ccw" }, `direction: Heron runs clockwise only\.`, oneWay},
		{"beyond the stop", func(e edited) {
			ps := e.pass("Plover")
			leg(ps, len(ps["legs"].([]any))-1)["to_deg"] = 0
		}, `stops: Plover, leg \d of the pass of .* leaves the part circle\.`, demo},
		{"legs that do not join", func(e edited) { leg(e.pass("Heron"), 1)["from_deg"] = 111 }, `legs apart: Heron, leg 2 of the pass of .* begins at 111 degrees; the arm then stands at \d+\.`, demo},
		{"from where the arm is not", func(e edited) { e.pass("Heron")["start_deg"] = 90 }, `arm elsewhere: Heron is to start .* at 90 degrees; the arm then stands at 180\.`, demo},
		{"in the past", func(e edited) { e.pass("Heron")["start"] = "2025-07-19T03:00:00-05:00" }, `machine busy: Heron is to start Sat 19 Jul 03:00, before the moment the plan is judged for, Sat 19 Jul 06:00\.`, demo},
		{"twice at once", func(e edited) { e["passes"] = append(e.passes(), e.pass("Heron")) }, `machine busy: Heron is to start .* and is not free before .*\.`, demo},
		{"beyond the days", func(e edited) { only(e, "Bittern", "2025-07-28T22:00:00-05:00") }, `horizon: Bittern is not done before the last day looked at ends \(Tue 29 Jul 00:00\); --days looks further\.`, demo},
		{"too much at once", func(e edited) { leg(e.pass("Heron"), 0)["timer_pct"] = 9; leg(e.pass("Heron"), 0)["water"] = true }, `pass depth: Heron, leg 1, .* in one pass; at most 1\.20 in is allowed\.`, demo},
		{"stands for two days", func(e edited) {
			only(e, "Heron", "2025-07-19T06:00:00-05:00")["pauses"] = []any{map[string]any{"from": "2025-07-19T08:00:00-05:00", "to": "2025-07-21T08:00:00-05:00", "why": "haying"}}
		}, `long stand: Heron stands from Sat 19 Jul 08:00 for 48 h: haying; a pass stands for 24 h at most, what is left is another pass\.`, demo},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := edited{}
			if err := json.Unmarshal([]byte(text), &e); err != nil {
				t.Fatal(err)
			}
			c.edit(e)
			raw, err := json.MarshalIndent(e, "", " ")
			if err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(t.TempDir(), "mine.json")
			if err := os.WriteFile(file, raw, 0o644); err != nil {
				t.Fatal(err)
			}
			status, said := run("plan", "--farm", c.farm, "--evaluate", file)
			said = strings.Join(strings.Fields(said), " ")
			if want := `CANNOT BE RUN \(pass \d+, \S+mine\.json:\d+:\d+\): ` + c.want; status != exitNo || !regexp.MustCompile(want).MatchString(said) {
				t.Errorf("exit status %d, want\n%s\nin\n%s", status, want, said)
			}
			for _, term := range []string{"pumping", "starts", "total", "difference"} {
				if !strings.Contains(said, term) {
					t.Errorf("no %q in the comparison", term)
				}
			}
		})
	}
}
