// What init asks on a terminal.

package main

import (
	"bytes"
	"math"
	"strings"
	"testing"
)

// Every question is asked until its answer will do, and what is answered is what a
// farm is made of. The corners are those of a square of 2 x 400 m round 44.2 N,
// 89.6 W: 400 m are 0.0036 degrees of latitude and 0.005 of longitude there (a
// degree of a sphere of 6371 km is 111.19 km).
func TestInitAsks(t *testing.T) {
	for name, x := range map[string]struct {
		typed   []string
		asked   []string // words of the questions and complaints, in order
		lengthM float64
		own     bool
	}{
		"nothing": {typed: []string{""}, asked: []string{"latitude of the pivot point"}},
		"centre, with slips": {
			typed:   []string{"north", "84", "44.2", "-89.6", "400", "400m", "1080ft", "Chicago", "America/Chicago", "metric", "si", "Reed & Sons"},
			asked:   []string{"latitude", "not a number", "out of range", "longitude", "length to the last nozzle", "400 has no unit", "elevation", "time zone", `(got "Chicago")`, "units of tables", `us or si is accepted (got "metric")`, "name of the farm"},
			lengthM: 400, own: true,
		},
		"corners, with slips": {
			typed:   []string{"corners", "44.1964,-89.605", "here", "44.1964,-89.595", "44.2036,-89.595", "44.1964,-89.605", "44.2036,-89.605", "1080ft", "America/Chicago", "", ""},
			asked:   []string{"corner 1", "corner 2", `(got "here")`, "corner 3", "corner 4", "in order around it", "corner 4", "elevation"},
			lengthM: 399.6, own: true,
		},
	} {
		f := initFlags{latitude: math.NaN(), longitude: math.NaN()}
		p := program{stdin: strings.NewReader(strings.Join(x.typed, "\n") + "\n")}
		var said bytes.Buffer
		p.stderr = &said
		if err := p.askFarm(&f); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		rest := said.String()
		for _, want := range x.asked {
			at := strings.Index(rest, want)
			if at < 0 {
				t.Fatalf("%s: %q is not said, or not in its turn:\n%s", name, want, said.String())
			}
			rest = rest[at+len(want):]
		}
		if f.any() != x.own {
			t.Errorf("%s: a farm of one's own: %v", name, f.any())
		}
		if !x.own {
			continue
		}
		o, err := p.ownFarm(&f)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if math.Abs(o.LengthM-x.lengthM) > 1 || math.Abs(o.Center[0]+89.6) > 1e-6 || math.Abs(o.Center[1]-44.2) > 1e-6 || math.Abs(o.ElevationM-329.2) > 0.1 {
			t.Errorf("%s: %+v", name, o)
		}
		if o.SI != (p.common.units == "si") || o.Timezone != "America/Chicago" {
			t.Errorf("%s: %+v", name, o)
		}
	}
	// An end of what is typed is no answer.
	p := program{stdin: strings.NewReader("44.2\n"), stderr: &bytes.Buffer{}}
	if err := p.askFarm(&initFlags{latitude: math.NaN(), longitude: math.NaN()}); err == nil {
		t.Error("a farm is made of half an answer")
	}
}
