package settings

import (
	"strings"
	"testing"

	"sandwick/et/spells"
)

// outlookOf reads a file with only an [outlook] section; the problems of the
// sections it lacks are left out.
func outlookOf(t *testing.T, text string) (Outlook, []string) {
	t.Helper()
	s, problems, _ := Read("farm.toml", []byte(text))
	if s == nil {
		t.Fatalf("not read: %v", problems)
	}
	var own []string
	for _, p := range problems {
		if msg := p.Error(); strings.Contains(msg, "outlook") {
			own = append(own, msg)
		}
	}
	return s.Outlook, own
}

func TestOutlook(t *testing.T) {
	defaults := Outlook{spells.Rule{MinMM: 1}, 15} // ETCCDI: a day below 1 mm is dry
	for _, tt := range []struct {
		text string
		want Outlook
	}{
		{"", defaults},
		{"[outlook]\n", defaults},
		{"[outlook]\nuseful_rain_mm = 5\nwindow_days = 20\n", Outlook{spells.Rule{MinMM: 5}, 20}},
		{"[outlook]\nuseful_rain_in = 0.5\n", Outlook{spells.Rule{MinMM: 12.7}, 15}},
		{"[outlook]\nuseful_rain_eto_pct = 100\n", Outlook{spells.Rule{MinMM: 1, EToShare: 1}, 15}}, // Rivoire et al. 2019
		{"[outlook]\nwindow_days = 0\n", Outlook{spells.Rule{MinMM: 1}, 0}},
	} {
		got, problems := outlookOf(t, tt.text)
		if len(problems) > 0 || got != tt.want {
			t.Errorf("%q: %+v, %v; want %+v", tt.text, got, problems, tt.want)
		}
	}
	for text, want := range map[string]string{
		"[outlook]\nuseful_rain = 5\n":                          `farm.toml:2:1: outlook.useful_rain: has no unit; useful_rain_mm or useful_rain_in is accepted (got "5")`,
		"[outlook]\nuseful_rain_mm = 0\n":                       `farm.toml:2:1: outlook.useful_rain_mm: is out of range; 0.1 to 50 is accepted (got "0")`,
		"[outlook]\nuseful_rain_in = 3\n":                       `farm.toml:2:1: outlook.useful_rain_in: is out of range; 0.003937 to 1.969 is accepted (got "3")`,
		"[outlook]\nuseful_rain_mm = 5\nuseful_rain_in = 0.2\n": `farm.toml:3:1: outlook.useful_rain_in: useful_rain_mm and useful_rain_in are both given; give one of them`,
		"[outlook]\nuseful_rain_mm = \"5 mm\"\n":                `farm.toml:2:1: outlook.useful_rain_mm: is not a number; write it without quotation marks or unit (got "5 mm")`,
		"[outlook]\nwindow_days = 100\n":                        `farm.toml:2:1: outlook.window_days: is out of range; 0 to 91 is accepted (got "100")`,
		"[outlook]\nwindow_days = 7.5\n":                        `farm.toml:2:1: outlook.window_days: is not a whole number; one from 0 to 91 is accepted (got "7.5")`,
		"[outlook]\nwindow_day = 7\n":                           `farm.toml:2:1: outlook.window_day: unknown key; nearest known is window_days`,
		"outlook = 3\n":                                         `farm.toml:1:1: outlook: is not a section; write [outlook] and its keys on lines of their own (got "3")`,
	} {
		_, problems := outlookOf(t, text)
		if len(problems) != 1 || problems[0] != want {
			t.Errorf("%q gives\n\t%s\nwant\n\t%s", text, strings.Join(problems, "\n\t"), want)
		}
	}
}
