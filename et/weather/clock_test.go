package weather_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"sandwick/et/weather"
)

// clearSkyWM2 is the mean radiation of the hour from t under a clear sky, by
// equations that are not FAO-56's: Haurwitz (1945), 1098 cos z exp(-0.057/cos z),
// with Cooper's declination and Spencer's equation of time; all from memory. Good
// to some percent, and to a minute or two of time.
func clearSkyWM2(t time.Time) float64 {
	const steps = 12
	sum := 0.0
	for i := range steps {
		u := t.UTC().Add(time.Duration(5*i)*time.Minute + 150*time.Second)
		b := 2 * math.Pi * float64(u.YearDay()-1) / 365
		eot := 229.18 * (0.000075 + 0.001868*math.Cos(b) - 0.032077*math.Sin(b) - 0.014615*math.Cos(2*b) - 0.04089*math.Sin(2*b)) // minutes
		dec := 23.45 * math.Pi / 180 * math.Sin(2*math.Pi*float64(284+u.YearDay())/365)
		solar := float64(u.Hour()) + float64(u.Minute())/60 + float64(u.Second())/3600 + site.LongitudeDeg/15 + eot/60
		lat := site.LatitudeDeg * math.Pi / 180
		if z := math.Sin(lat)*math.Sin(dec) + math.Cos(lat)*math.Cos(dec)*math.Cos((solar-12)*math.Pi/12); z > 0.01 {
			sum += 1098 * z * math.Exp(-0.057/z)
		}
	}
	return sum / steps
}

// A clock that the sun belies is doubted, by name where hour_ending would mend it.
func TestClockAgainstTheSun(t *testing.T) {
	o := options(t, "h.csv")
	// Read too early, the last day of the sun ends too soon to count.
	const told = "h.csv:1: time: on %d clear days the sun fits rows %s than they are read; %s"
	for _, c := range []struct {
		name   string
		days   int
		shift  time.Duration // of the stamp against the hour's beginning
		ending bool
		clouds func(t time.Time) float64
		want   string
	}{
		{"stamped at the beginning", 12, 0, false, nil, ""},
		{"stamped at the end, and said so", 12, time.Hour, true, nil, ""},
		{"stamped at the end", 12, time.Hour, false, nil, fmt.Sprintf(told, 12, "1 hour earlier", "the times may be those at which the hours end: set hour_ending = true")},
		{"stamped at the beginning, and said to be the end", 12, 0, true, nil, fmt.Sprintf(told, 11, "1 hour later", "the times may be those at which the hours begin: leave hour_ending out")},
		{"standard time in summer", 12, -time.Hour, false, nil, fmt.Sprintf(told, 11, "1 hour later", "the clock or the time zone may be wrong")},
		{"two hours slow", 12, -2 * time.Hour, false, nil, fmt.Sprintf(told, 11, "2 hours later", "the clock or the time zone may be wrong")},
		{"too few days to tell", 4, time.Hour, false, nil, ""},
		{"overcast", 12, time.Hour, false, func(time.Time) float64 { return 0.5 }, ""},
		{"half of the afternoons cloudy", 12, 0, false, func(t time.Time) float64 {
			if t.Day()%2 == 0 && t.Hour() >= 15 {
				return 0.6
			}
			return 1
		}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var b strings.Builder
			b.WriteString("time,temp_c,rh_pct,wind_ms,solar_wm2,rain_mm\n")
			from := date(t, "2024-06-10").In(o.Location)
			for h := range 24 * c.days {
				at := from.Add(time.Duration(h) * time.Hour)
				sun := clearSkyWM2(at)
				if c.clouds != nil {
					sun *= c.clouds(at)
				}
				fmt.Fprintf(&b, "%s,%.1f,%d,%.1f,%.0f,0\n", at.Add(c.shift).Format("2006-01-02T15:04"), 15+float64(h%24)/3, 50+h%20, 2+float64(h%7)/3, sun)
			}
			o := o
			o.HourEnding = c.ending
			rec, ps := weather.Read(strings.NewReader(b.String()), o)
			if ps.Err() != nil {
				t.Fatal(ps)
			}
			got := ""
			for _, d := range rec.Doubts {
				if strings.Contains(d.Msg, "the sun fits") {
					got += d.Error()
				}
			}
			if got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}
