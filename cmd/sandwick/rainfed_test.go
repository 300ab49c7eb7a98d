// A field under no pivot: it has a balance and days left, and nothing is run for it.

package main

import (
	"bytes"
	"context"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/guard"
)

// addRainfed gives a copy of the demo farm a field of corn under no pivot, with a
// value that nothing can protect.
func addRainfed(t *testing.T, dir string) {
	t.Helper()
	for name, x := range map[string]struct{ before, more string }{
		"farm.toml": {"[[soils]]", "[[fields]]\nname = \"Stubble Forty\"\ncrop = \"corn\"\nstart = 2025-05-03\ncrop_value_per_ac = 700\n\n"},
		"zones.geojson": {"{\n      \"type\": \"Feature\"", `{"type": "Feature", "properties": {"zone": "Forty sand", "field": "Stubble Forty", "soil": "crane sand", "water_table_ft": 6.0, "water_table_date": "2025-07-01"},
 "geometry": {"type": "Polygon", "coordinates": [[[-95.33, 44.34], [-95.325, 44.34], [-95.325, 44.344], [-95.33, 44.344], [-95.33, 44.34]]]}},
`},
	} {
		file := filepath.Join(dir, name)
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		at := bytes.Index(text, []byte(x.before))
		if at < 0 {
			t.Fatalf("%s has no %q", name, x.before)
		}
		if err := os.WriteFile(file, []byte(string(text[:at])+x.more+string(text[at:])), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestFieldUnderNoPivot(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	addRainfed(t, s.dir)
	for _, command := range [][]string{
		{"check"}, {"status"}, {"status", "--json"}, {"plan"}, {"plan", "--json"}, {"outlook"}, {"balance"}, {"season"},
		{"plan", "--geojson", filepath.Join(s.dir, "plan.geojson"), "--html", filepath.Join(s.dir, "plan.html")},
		{"status", "--html", filepath.Join(s.dir, "status.html")}, {"season", "--html", filepath.Join(s.dir, "season.html")},
	} {
		p := testProgram(time.Date(2025, 7, 19, 11, 0, 0, 0, time.UTC))
		var out, errs bytes.Buffer
		if status := p.run(context.Background(), append([]string{"--farm", s.dir}, command...), strings.NewReader(""), &out, &errs); status != 0 {
			t.Errorf("%v: exit %d: %s", command, status, errs.String())
		}
		text := out.String()
		for i, word := range command {
			if word == "--html" || word == "--geojson" {
				b, err := os.ReadFile(command[i+1])
				if err != nil {
					t.Error(err)
				}
				text = string(b)
			}
		}
		ahead := regexp.MustCompile(`Soil water of Forty sand[^"]*expected on Mon 28 Jul`).MatchString(text)
		if html := slices.Contains(command, "--html"); ahead != (html && command[0] != "season") {
			t.Errorf("%v: the days ahead of the field are shown: %v", command, ahead)
		}
		if want := "Forty"; command[0] != "check" && !strings.Contains(text, want) {
			t.Errorf("%v does not tell of the field:\n%.600s", command, text)
		}
	}
	c := s.client()
	for _, path := range []string{"/", "/status", "/season", "/what-if?ask=yes&do-a=hold", "/zones", "/record/rain"} {
		if status, text := s.get(c, path); status != http.StatusOK || path != "/what-if?ask=yes&do-a=hold" && !strings.Contains(text, "Forty") {
			t.Errorf("%s: status %d, or nothing of the field: %s", path, status, marked(text))
		}
	}
}
