package input_test

import (
	"math"
	"strconv"
	"testing"
	"time"
	_ "time/tzdata" // the tests must not depend on the zones of the machine

	"sandwick/et/input"
)

func TestParseNumber(t *testing.T) {
	const notNumber = "not a number; write it like 12.5"
	const thousands = "not a number; a point marks decimals and thousands are not separated, like 1234.5"
	tests := []struct {
		in   string
		want float64
		err  string
	}{
		{"0", 0, ""}, {"-0.5", -0.5, ""}, {"+3", 3, ""}, {".5", 0.5, ""}, {"5.", 5, ""},
		{"1e3", 1000, ""}, {"2.5E-2", 0.025, ""}, {"007", 7, ""}, {"1e-400", 0, ""},
		{"", 0, notNumber}, {"-", 0, notNumber}, {".", 0, notNumber}, {"1e", 0, notNumber}, {"e5", 0, notNumber},
		{"NaN", 0, notNumber}, {"nan", 0, notNumber}, {"Inf", 0, notNumber}, {"-infinity", 0, notNumber},
		{"0x1p3", 0, notNumber}, {"1_000", 0, notNumber}, {"1 000", 0, notNumber}, {" 1", 0, notNumber},
		{"1.2.3", 0, notNumber}, {"--1", 0, notNumber}, {"1e5.5", 0, notNumber}, {"−5", 0, notNumber}, {"12in", 0, notNumber},
		{"1e+", 0, notNumber}, {"1-2", 0, notNumber}, {"T", 0, notNumber},
		{"1,234", 0, thousands}, {"12,5", 0, thousands}, {"1e999", 0, "too large for a number"},
	}
	for _, tt := range tests {
		got, err := input.ParseNumber(tt.in)
		if tt.err != "" {
			if err == nil || err.Error() != tt.err {
				t.Errorf("%q: got %v, %v, want %s", tt.in, got, err, tt.err)
			}
		} else if err != nil || got != tt.want {
			t.Errorf("%q: got %v, %v, want %v", tt.in, got, err, tt.want)
		}
	}
}

func TestParseDate(t *testing.T) {
	const notDate = "not a date; write it as year-month-day, like 2024-06-09"
	const noDay = "no such day in the calendar; write it as year-month-day, like 2024-06-09"
	tests := []struct{ in, want, err string }{
		{"2024-06-09", "2024-06-09", ""}, {"20240609", "2024-06-09", ""}, {"2024-02-29", "2024-02-29", ""}, {"2000-02-29", "2000-02-29", ""},
		{"2023-02-29", "", noDay}, {"1900-02-29", "", noDay}, {"2024-13-01", "", noDay}, {"2024-00-10", "", noDay}, {"2024-04-31", "", noDay},
		{"6/9/2024", "", notDate}, {"06-09-2024", "", notDate}, {"2024-6-9", "", notDate}, {"2024/06/09", "", notDate},
		{"2024-06-09T00:00", "", notDate}, {"", "", notDate}, {"2024-06-0x", "", notDate}, {"2024-+6-09", "", notDate},
		{"0024-06-09", "", "year out of range; years 1800 to 2200 are accepted"},
		{"9999-12-31", "", "year out of range; years 1800 to 2200 are accepted"},
	}
	for _, tt := range tests {
		got, err := input.ParseDate(tt.in)
		if tt.err != "" {
			if err == nil || err.Error() != tt.err {
				t.Errorf("%q: got %v, %v, want %s", tt.in, got, err, tt.err)
			}
		} else if err != nil || got.String() != tt.want {
			t.Errorf("%q: got %v, %v, want %v", tt.in, got, err, tt.want)
		}
	}
}

// TestClock goes through the days on which clocks change. The zones are those
// of the IANA time zone database.
func TestClock(t *testing.T) {
	const notTime = "not a time; write it like 2024-06-09T14:30 (local time)"
	const noTime = "no such time; hours run from 00 to 23, minutes and seconds to 59, like 2024-06-09T14:30"
	gap := func(zone string) string {
		return "no such time in " + zone + ": the clocks are put forward over it; give a time before or after, or add the offset from UTC"
	}
	tests := []struct{ zone, in, first, again, err string }{
		{"America/Chicago", "2024-07-01T14:30", "2024-07-01T14:30:00-05:00", "", ""},
		{"America/Chicago", "2024-07-01 14:30:15", "2024-07-01T14:30:15-05:00", "", ""},
		{"America/Chicago", "20240701T14:30", "2024-07-01T14:30:00-05:00", "", ""},
		{"America/Chicago", "2024-03-10T01:59", "2024-03-10T01:59:00-06:00", "", ""},
		{"America/Chicago", "2024-03-10T02:00", "", "", gap("America/Chicago")},
		{"America/Chicago", "2024-03-10T02:59:59", "", "", gap("America/Chicago")},
		{"America/Chicago", "2024-03-10T03:00", "2024-03-10T03:00:00-05:00", "", ""},
		{"America/Chicago", "2024-11-03T00:59", "2024-11-03T00:59:00-05:00", "", ""},
		{"America/Chicago", "2024-11-03T01:00", "2024-11-03T01:00:00-05:00", "2024-11-03T01:00:00-06:00", ""},
		{"America/Chicago", "2024-11-03T02:00", "2024-11-03T02:00:00-06:00", "", ""},
		{"America/Chicago", "2024-11-03T01:30-06:00", "2024-11-03T01:30:00-06:00", "", ""},
		{"America/Chicago", "2024-11-03T01:30-0500", "2024-11-03T01:30:00-05:00", "", ""},
		{"America/Chicago", "2024-07-01T19:30Z", "2024-07-01T14:30:00-05:00", "", ""},
		{"America/Chicago", "2024-03-10T02:30+01", "2024-03-09T19:30:00-06:00", "", ""},
		// Clocks that change at midnight: a day without a midnight, one with two.
		{"America/Asuncion", "2023-10-01T00:30", "", "", gap("America/Asuncion")},
		{"America/Asuncion", "2024-03-23T23:30", "2024-03-23T23:30:00-03:00", "2024-03-23T23:30:00-04:00", ""},
		{"Australia/Lord_Howe", "2024-10-06T02:15", "", "", gap("Australia/Lord_Howe")}, // half an hour
		{"Pacific/Apia", "2011-12-30T12:00", "", "", gap("Pacific/Apia")},               // a whole day left out
		{"UTC", "2024-02-30T12:00", "", "", "no such day in the calendar; write it as year-month-day, like 2024-06-09"},
		{"UTC", "2024-06-09", "", "", "a date without a time of day; write it like 2024-06-09T14:30 (local time)"},
		{"UTC", "noon", "", "", notTime}, {"UTC", "2024-06-09T", "", "", notTime}, {"UTC", "2024-06-09T9:30", "", "", notTime},
		{"UTC", "2024-06-09T14:30pm", "", "", notTime}, {"UTC", "2024-06-09T14:30+99:00", "", "", notTime}, {"UTC", "2024-06-09T14:30+", "", "", notTime},
		{"UTC", "2024-06-09T24:00", "", "", noTime}, {"UTC", "2024-06-09T12:60", "", "", noTime},
	}
	for _, tt := range tests {
		loc, err := time.LoadLocation(tt.zone)
		if err != nil {
			t.Fatal(err)
		}
		var first, again time.Time
		c, err := input.ParseClock(tt.in)
		if err == nil {
			first, again, err = c.In(loc)
		}
		if tt.err != "" {
			if err == nil || err.Error() != tt.err {
				t.Errorf("%s %s: got %v, %v, want %s", tt.zone, tt.in, first, err, tt.err)
			}
			continue
		}
		gotAgain := ""
		if !again.IsZero() {
			gotAgain = again.Format(time.RFC3339)
		}
		if got := first.Format(time.RFC3339); err != nil || got != tt.first || gotAgain != tt.again {
			t.Errorf("%s %s: got %s, %q, %v, want %s, %q", tt.zone, tt.in, got, gotAgain, err, tt.first, tt.again)
		}
	}
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"1", "-1.5e3", "0x10", "1,5", "NaN", ".", "e", "+.e1", "1e309"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := input.ParseNumber(s)
		if err != nil {
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%q is %v", s, v)
		}
		again, err := input.ParseNumber(strconv.FormatFloat(v, 'g', -1, 64))
		if err != nil || again != v {
			t.Fatalf("%q: %v written and read is %v, %v", s, v, again, err)
		}
	})
}

func FuzzParseClock(f *testing.F) {
	for _, s := range []string{"2024-03-10T02:30", "2024-11-03T01:30", "2024-06-09 14:30:00Z", "20240609T14:30-05:00", "2024-06-09T:", "T", "2024-06-09T14:30+1"} {
		f.Add(s)
	}
	loc, err := time.LoadLocation("America/New_York")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := input.ParseClock(s)
		if err != nil {
			return
		}
		first, again, err := c.In(loc)
		if err != nil {
			return
		}
		if !again.IsZero() && !again.After(first) {
			t.Fatalf("%q: the second time %v is not after the first %v", s, again, first)
		}
		same, err := input.ParseClock(first.Format("2006-01-02T15:04:05Z07:00"))
		if err != nil {
			return // shifted over the edge of the accepted years
		}
		if back, _, err := same.In(loc); err != nil || !back.Equal(first) {
			t.Fatalf("%q: %v written and read is %v, %v", s, first, back, err)
		}
	})
}
