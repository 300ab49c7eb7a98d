package input

import (
	"slices"
	"strings"
	"testing"
)

func TestDialectOf(t *testing.T) {
	for _, c := range []struct {
		text string
		want Dialect
	}{
		{"", Dialect{',', "\n", false}},
		{"date,amount_in\n", Dialect{',', "\n", false}},
		{"\xef\xbb\xbfdate,amount_in\r\n2025-06-01,0.4\r\n", Dialect{',', "\r\n", false}},
		{"date;amount_mm\n2025-06-01;10,5\n", Dialect{';', "\n", true}},
		{"date;amount_mm\n2025-06-01;10.5\n", Dialect{';', "\n", false}},
		{"date;amount_mm\n2025-06-01;10\n", Dialect{';', "\n", true}},
		{"date\tamount_mm\n2025-06-01\t10,5\n", Dialect{'\t', "\n", true}},
		{"date\tamount_mm\n", Dialect{'\t', "\n", false}},
		{"date,amount_in\r2025-06-01,0.4\r", Dialect{',', "\r", false}},
		{"# a remark; with; many\ndate,amount_in\n", Dialect{',', "\n", false}},
	} {
		if got := DialectOf([]byte(c.text)); got != c.want {
			t.Errorf("%q: got %+v, want %+v", c.text, got, c.want)
		}
	}
}

// What is written is read back as it was, in every dialect.
func FuzzLine(f *testing.F) {
	f.Add("a", "b,c", "d;\"e\"")
	f.Add("# no remark", "", "é")
	f.Add("", " x", "#")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		cells := []string{"x" + a, b, c}
		if strings.HasPrefix(a, "#") {
			cells[0] = a
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(strings.ReplaceAll(cells[i], "\r", ""))
			if strings.Contains(cells[i], "\x00") {
				t.Skip()
			}
		}
		for _, d := range []Dialect{{',', "\n", false}, {';', "\r\n", true}, {'\t', "\n", false}} {
			line := d.Line(cells)
			if !strings.HasSuffix(line, d.LineEnd) {
				t.Errorf("%q has no end", line)
			}
			if got := d.Split([]byte(line)); !slices.Equal(got, cells) {
				t.Errorf("%q: got %q, want %q", line, got, cells)
			}
		}
	})
}

func TestPlainCell(t *testing.T) {
	for text, want := range map[string]string{
		"0.40": "0.4", "0,4": "0.4", "10": "10", "-0.0": "0", "20250609": "20250609", "2025-06-09": "2025-06-09",
		"Heron": "Heron", "": "", "1.2.3": "1.2.3", "123456789012345678": "123456789012345678",
	} {
		if got := PlainCell(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

func TestParseTimeLike(t *testing.T) {
	for _, c := range []struct{ text, format, want string }{
		{"2025-06-09T14:30", "", "2025-06-09T14:30"},
		{"6/9/2025 2:05 PM", "month/day/year hour:minute half", "2025-06-09T14:05:00"},
		{"6/9/2025 12:05 a.m.", "month/day/year hour:minute half", "2025-06-09T00:05:00"},
		{"6/9/2025 12:05 PM", "month/day/year hour:minute half", "2025-06-09T12:05:00"},
		{"09.06.2025 14:30:15", "day.month.year hour:minute:second", "2025-06-09T14:30:15"},
		{"20250609 1430", "yearmonthday hourminute", "2025-06-09T14:30:00"},
	} {
		got, err := ParseTimeLike(c.text, c.format)
		if err != nil || got != c.want {
			t.Errorf("%q as %q: got %q, %v", c.text, c.format, got, err)
		}
	}
	for _, c := range []struct{ text, format, want string }{
		{"9.6.2025 14:30", "month/day/year hour:minute", `not a time like "month/day/year hour:minute"`},
		{"6/9/25 14:30", "month/day/year hour:minute", `not a time like "month/day/year hour:minute"`},
		{"6/9/2025 14:30 x", "month/day/year hour:minute", `not a time like "month/day/year hour:minute"`},
		{"6/9/2025 0:30 PM", "month/day/year hour:minute half", "no such time; with AM or PM the hours run from 1 to 12"},
		{"6/9/2025 1:30 XM", "month/day/year hour:minute half", `not a time like "month/day/year hour:minute half"`},
	} {
		if got, err := ParseTimeLike(c.text, c.format); err == nil || err.Error() != c.want {
			t.Errorf("%q as %q: got %q, %v", c.text, c.format, got, err)
		}
	}
	for format, want := range map[string]string{
		"":                           "",
		"day.month.year":             "hour is missing from it; a format is made of the words year, month, day, hour, minute, second, half",
		"day.day.year hour:minute":   "day stands twice in it",
		"day.month.year hour:minute": "",
	} {
		got := ""
		if err := CheckTimeFormat(format); err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("%q: got %q, want %q", format, got, want)
		}
	}
}
