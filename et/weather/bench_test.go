package weather_test

import (
	"bytes"
	"fmt"
	"math"
	"testing"
	"time"

	"sandwick/et"
	"sandwick/et/weather"
)

// site is that of the broken files and benchmarks: made up, on a plain.
var site = et.Site{LatitudeDeg: 41.5, LongitudeDeg: -86.5, ElevationM: 210, WindHeightM: 2, KRs: et.KRsInterior}

// dailyText is n days of made-up weather in US units.
func dailyText(n int) []byte {
	var b bytes.Buffer
	b.WriteString("date,tmax_f,tmin_f,rhmax_pct,rhmin_pct,wind_mph,solar_mj,rain_in\n")
	day := time.Date(1995, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range n {
		season := -math.Cos(2 * math.Pi * float64(i) / 365.25)
		wave := float64(i*7%23) / 2
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%d,%d,%.1f,%.2f,%.2f\n", day.AddDate(0, 0, i).Format(time.DateOnly),
			55+27*season+wave, 38+25*season+wave, 85+i*3%15, 40+i*5%13, 4+wave, 14+9*season-wave/3, float64(i*11%29/25)*wave/9)
	}
	return b.Bytes()
}

func BenchmarkReadDaily30Years(b *testing.B) {
	text := dailyText(10957)
	b.ReportAllocs()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		rec, ps := weather.Read(bytes.NewReader(text), weather.Options{Site: &site})
		if len(rec.Days) != 10957 || ps.Err() != nil {
			b.Fatal(len(rec.Days), ps)
		}
	}
}
