// Rain in another unit than it is named by shows in the season's sum.

package fields

import (
	"fmt"
	"strings"
	"testing"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
)

// rainFarm is the small farm with so many days of a rain each third day in its
// season, and that of earlier years; 0 leaves history.csv out.
func rainFarm(t *testing.T, days int, mm, earlier float64) *Farm {
	t.Helper()
	rows := func(year, days int, mm float64) string {
		var b strings.Builder
		b.WriteString("date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n")
		d := civil.Date{Year: year, Month: 6, Day: 1}
		for i := range days {
			rain := 0.0
			if i%3 == 0 {
				rain = mm
			}
			fmt.Fprintf(&b, "%s,%d,%d,88,%d,%d.%d,%d,%g\n", d, 24+i%7, 11+i%5, 38+i%11, 1+i%3, i%10, 18+i%9, rain)
			d = d.AddDays(1)
		}
		return b.String()
	}
	history := "<none>"
	if earlier > 0 {
		history = rows(2023, 100, earlier)
	}
	return mustLoad(t, smallFarm(t, "weather.csv", "", rows(2025, days, mm), "history.csv", "", history, "forecast.csv", "", "<none>",
		"records/passes.csv", "", "<none>", "records/rain.csv", "", "<none>"))
}

func TestDoubtRain(t *testing.T) {
	const hint = "; is the column of rain in the unit it is named by, and does the gauge work?"
	for _, c := range []struct {
		days        int
		mm, earlier float64
		want        string
	}{
		{60, 9, 8, ""},
		{60, 9, 0, ""},
		{60, 9.0 / 25.4, 8, "weather.csv: rain: 7 mm of rain in the 60 days since the season began; in the mean of 1 earlier years these days have 160 mm" + hint},
		{60, 9 * 25.4, 8, "weather.csv: rain: 4572 mm of rain in the 60 days since the season began; in the mean of 1 earlier years these days have 160 mm" + hint},
		{60, 9 * 25.4, 0, "weather.csv: rain: 4572 mm of rain in the 60 days since the season began, more than falls anywhere that is irrigated" + hint},
		{60, 0, 0, "weather.csv: rain: 0 mm of rain in the 60 days since the season began" + hint},
		{40, 0, 0, ""}, // too soon to tell
		{60, 0.3, 0.4, ""},
	} {
		if got := rainFarm(t, c.days, c.mm, c.earlier).DoubtRain().Error(); got != c.want && !(c.want == "" && got == (input.Problems{}).Error()) {
			t.Errorf("%+v:\n got %s\nwant %s", c, got, c.want)
		}
	}
}

// A water table in inches.
func TestDoubtDeepTable(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "zones.geojson", `"water_table_m": 1.5`, `"water_table_m": 36`))
	const want = `zone "West": is deeper than 9.14 m; in inches or centimetres? null means out of reach (got "36 m")`
	if !strings.Contains(f.Doubts.Error(), want) {
		t.Errorf("doubts:\n%v\nwant %s", f.Doubts, want)
	}
}
