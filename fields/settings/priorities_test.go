package settings

import (
	"slices"
	"strings"
	"testing"
	"time"
)

const twoFields = "\n[[fields]]\nname = \"Low\"\n[[fields]]\nname = \"High\"\n"

func prioritiesOf(t *testing.T, text string) (*Settings, []string) {
	t.Helper()
	s, problems, _ := Read("farm.toml", []byte(text+twoFields))
	if s == nil {
		t.Fatalf("not read: %v", problems)
	}
	var own []string
	for _, p := range problems {
		if msg := p.Error(); strings.Contains(msg, "priorities") || strings.Contains(msg, "prices") {
			own = append(own, msg)
		}
	}
	return s, own
}

func TestPriorities(t *testing.T) {
	s, problems := prioritiesOf(t, "[priorities]\nprotect = [\"High\"]\nprefer_night_per_h = 4\nnight = { from = \"21:00\", to = \"07:00\" }\n")
	p := &s.Priorities
	if len(problems) > 0 || !slices.Equal(p.Protect, []string{"High"}) || p.Times("High") != 3 || p.Times("Low") != 1 || p.DayPerH != 4 {
		t.Errorf("%+v, %v", p, problems)
	}
	for h, want := range map[int]bool{6: true, 7: false, 20: false, 21: true, 0: true} {
		if got := p.Night.Holds(time.Date(2025, 7, 1, h, 0, 0, 0, time.UTC)); got != want {
			t.Errorf("%d o'clock is night: %t", h, got)
		}
	}
	if s, problems = prioritiesOf(t, ""); len(problems) > 0 || s.Priorities.Times("High") != 1 || s.Priorities.DayPerH != 0 {
		t.Errorf("none: %+v, %v", s.Priorities, problems)
	}
	if s, _ = prioritiesOf(t, "[prices]\nlabour_per_start = 20\n"); s.Prices.LabourPerLeg != 1 {
		t.Errorf("a leg costs %g", s.Prices.LabourPerLeg)
	}
	for text, want := range map[string]string{
		"[priorities]\nprotect = [\"Hihg\"]\n":                                                 `farm.toml:2:1: priorities.protect: no field has this name; nearest known is High (got "Hihg")`,
		"[priorities]\nprotect = [\"Low\", \"Low\"]\n":                                         `farm.toml:2:1: priorities.protect: names a field twice (got "Low")`,
		"[priorities]\nprotect_times = 4\n":                                                    `farm.toml:2:1: priorities.protect_times: does nothing without protect, the fields that it is for (got "4")`,
		"[priorities]\nprotect = [\"Low\"]\nprotect_times = 0.5\n":                             `farm.toml:3:1: priorities.protect_times: is out of range; 1 to 100 is accepted (got "0.5")`,
		"[priorities]\nprefer_night_per_h = -1\n":                                              `farm.toml:2:1: priorities.prefer_night_per_h: is out of range; 0 to 10000 is accepted (got "-1")`,
		"[priorities]\nnight = { from = \"21:00\", to = \"07:00\" }\n":                         `farm.toml:2:1: priorities.night: does nothing without prefer_night_per_h, what an hour of pumping by day should count for`,
		"[priorities]\nprefer_night_per_h = 2\nnight = { from = \"21:00\", to = \"21:00\" }\n": `farm.toml:3:27: priorities.night.to: is the same as from; a night from "20:00" to "08:00" is accepted (got "21:00")`,
		"[priorities]\nprefer_nights = 2\n":                                                    `farm.toml:2:1: priorities.prefer_nights: unknown key; known: night, prefer_night_per_h, protect, protect_times`,
		"[prices]\nlabour_per_leg = \"1\"\n":                                                   `farm.toml:2:1: prices.labour_per_leg: is not a number; write it without quotation marks or unit (got "1")`,
	} {
		_, problems := prioritiesOf(t, text)
		if len(problems) != 1 || problems[0] != want {
			t.Errorf("%q gives\n\t%s\nwant\n\t%s", text, strings.Join(problems, "\n\t"), want)
		}
	}
}
