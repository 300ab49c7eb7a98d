// Records added late, taken back and taken over: the season comes out as if
// the files had been so from the start.

package fields

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sandwick/et/input"
	"sandwick/fields/records"
)

// smallDir is the small farm as a folder.
func smallDir(t *testing.T, changes ...string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, smallFarm(t, changes...)); err != nil {
		t.Fatal(err)
	}
	return dir
}

// totals is the whole season of a farm folder, to the last digit.
func totals(t *testing.T, dir string) (text string, rainMM, grossMM float64) {
	t.Helper()
	f, problems := Load(dir)
	if len(problems) > 0 {
		t.Fatalf("the farm should be sound:\n%v", problems)
	}
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	var b strings.Builder
	for day := range s.Days() {
		for z := range f.Zones {
			a := s.Account(day, z)
			fmt.Fprintf(&b, "%d %d %+v\n", day, z, *a)
			rainMM += a.RainMM
			grossMM += a.GrossMM
		}
	}
	return b.String(), rainMM, grossMM
}

func entry(t *testing.T, dir, file string, row records.Entry) *Recording {
	t.Helper()
	r, problems := OpenRecording(dir)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if _, err := r.Writer.Record(context.Background(), records.Batch{File: file, Rows: []records.Entry{row}}, recorded, false); err != nil {
		t.Fatal(err)
	}
	return r
}

var recorded = time.Date(2025, 6, 8, 11, 0, 0, 0, time.UTC)

func takeBack(t *testing.T, r *Recording) {
	t.Helper()
	_, _, err := r.Writer.Undo(context.Background(), recorded, "", func(s *records.Standing) ([]records.Row, error) {
		rows, _, err := s.Last()
		return rows, err
	}, false)
	if err != nil {
		t.Fatal(err)
	}
}

func TestTotalsAfterLateRainAndUndo(t *testing.T) {
	dir := smallDir(t)
	before, rain, _ := totals(t, dir)
	q, err := input.ParseQuantity("8mm", input.Depth)
	if err != nil {
		t.Fatal(err)
	}
	// A week late, between rows of other days: the zones of the field have it each.
	r := entry(t, dir, records.RainFile, records.Entry{"date": records.Word("2025-06-05"), "place": records.Word("Round"), "amount": records.Amount(q)})
	late, lateRain, _ := totals(t, dir)
	if diff := lateRain - rain - 2*8; late == before || diff > 1e-9 || diff < -1e-9 {
		t.Errorf("rain of both zones rose from %v to %v mm, want 16 more", rain, lateRain)
	}
	byHand, _, _ := totals(t, smallDir(t, "records/rain.csv", "2025-06-06,Wheel", "2025-06-05,Round,8,\n2025-06-06,Wheel"))
	if late != byHand {
		t.Error("a late record and a row written in its place by hand differ")
	}
	takeBack(t, r)
	if after, _, _ := totals(t, dir); after != before {
		t.Errorf("after undo\n%s\nbefore\n%s", after, before)
	}
}

func TestTotalsAfterPassAndUndo(t *testing.T) {
	dir := smallDir(t)
	before, _, gross := totals(t, dir)
	r := entry(t, dir, records.PassesFile, records.Entry{
		"pivot": records.Word("Wheel"), "start": records.Word("2025-06-05T06:00"), "from": records.Degrees(0), "to": records.Degrees(0),
		"direction": records.Word("cw"), "timer": records.Percent(50), "water": records.Word("yes"),
	})
	_, _, more := totals(t, dir)
	if more < gross*1.9 { // the season's other pass was as deep
		t.Errorf("gross %v with one pass, %v with two", gross, more)
	}
	takeBack(t, r)
	if after, _, _ := totals(t, dir); after != before {
		t.Errorf("after undo\n%s\nbefore\n%s", after, before)
	}
	// So too for a pass that was there before, written by hand.
	r, problems := OpenRecording(dir)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	_, _, err := r.Writer.Undo(context.Background(), recorded, "never ran", func(s *records.Standing) ([]records.Row, error) {
		return s.Rows(records.PassesFile)[:1], nil
	}, false)
	if err != nil {
		t.Fatal(err)
	}
	dry, _, none := totals(t, dir)
	without, _, _ := totals(t, smallDir(t, "records/passes.csv", "", "<none>"))
	if none != 0 || dry != without {
		t.Errorf("gross %v without any pass", none)
	}
}

func TestArmOfTheLastPass(t *testing.T) {
	dir := smallDir(t, "records/passes.csv", "0,0,cw,50,yes", "0,270,cw,50,yes")
	r, problems := OpenRecording(dir)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if deg, problems := r.Arm("Wheel"); deg != 270 || len(problems) > 0 {
		t.Errorf("got %v, %v", deg, problems)
	}
}

// A row that a crash left half written is not seen by anybody; one that lacks
// its line end only is whole.
func TestLoadAfterCrash(t *testing.T) {
	dir := smallDir(t)
	before, _, _ := totals(t, dir)
	q, err := input.ParseQuantity("8mm", input.Depth)
	if err != nil {
		t.Fatal(err)
	}
	entry(t, dir, records.RainFile, records.Entry{"date": records.Word("2025-06-05"), "place": records.Word("Round"), "amount": records.Amount(q)})
	// As a crash leaves it: the intent is there, the row in part.
	path := filepath.Join(dir, "records", "rain.csv")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	row := "2025-06-05,Round,8,\n"
	at := len(text) - len(row)
	if string(text[at:]) != row {
		t.Fatalf("the last row is %q", text[at:])
	}
	writeIntent(t, dir, "records/rain.csv", at, row)
	for cut := range len(row) {
		if err := os.WriteFile(path, text[:at+cut], 0o666); err != nil {
			t.Fatal(err)
		}
		whole := cut == len(row)-1
		if after, _, _ := totals(t, dir); (after != before) != whole {
			t.Errorf("with %q the season differs: %v, want %v", row[:cut], after != before, whole)
		}
	}
}

func TestImportWeather(t *testing.T) {
	dir := smallDir(t, "farm.toml", "[prices]", "[imports.weather]\ncolumns = { date = \"Day\", tmax_f = \"Hi\", tmin_f = \"Lo\", rain_in = \"Rain\" }\nignore = [\"Bat\"]\n\n[prices]")
	bring := func(text string) (records.Taken, records.Receipt, error) {
		t.Helper()
		r, problems := OpenRecording(dir)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		var taken records.Taken
		receipt, err := r.ImportWeather(context.Background(), "station.csv", []byte(text), recorded, false, &taken)
		return taken, receipt, err
	}
	// 27 °C = 80.6 °F, 12 °C = 53.6 °F; 82.4 and 55.4 °F = 28 and 13 °C.
	file := "Day;Hi;Lo;Rain;Bat\n2025-06-07;80,6;53,6;0;9\n2025-06-08;82,4;55,4;0,25;9\n"
	taken, _, err := bring(file)
	if err != nil || taken.New != 1 || taken.Known != 1 {
		t.Fatalf("got %+v, %v", taken, err)
	}
	text, err := os.ReadFile(filepath.Join(dir, WeatherFile))
	if err != nil {
		t.Fatal(err)
	}
	if want := "2025-06-08,28,13,,,,,6.35\n"; !strings.HasSuffix(string(text), "\n"+want) {
		t.Errorf("got\n%s", text)
	}
	taken, _, err = bring(file)
	again, readErr := os.ReadFile(filepath.Join(dir, WeatherFile))
	if err != nil || readErr != nil || taken.New != 0 || taken.Known != 2 || string(again) != string(text) {
		t.Errorf("the second time: %+v, %v", taken, err)
	}
	_, _, err = bring("Day;Hi;Lo;Rain;Bat\n2025-06-06;80,6;53,6;0;9\n2025-06-07;80,6;53,6;0;9\n2025-06-09;80;60;0;9\n")
	want := `station.csv:2:12: Hi: disagrees with weather.csv, which has 25 on 2025-06-06 (line 9); mend one of them (got "80,6")
station.csv:2:17: Lo: disagrees with weather.csv, which has 11 on 2025-06-06 (line 9); mend one of them (got "53,6")
station.csv:2:22: Rain: disagrees with weather.csv, which has 12 on 2025-06-06 (line 9); mend one of them (got "0")`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v", err)
	}
	again, readErr = os.ReadFile(filepath.Join(dir, WeatherFile))
	if readErr != nil || string(again) != string(text) {
		t.Errorf("the file was changed:\n%s", again)
	}
	if _, problems := Load(dir); len(problems) > 0 {
		t.Error(problems)
	}
}

// Days taken over by mistake are taken back: the season is as if they had never
// been, and nothing is erased. They can be taken over again.
func TestUndoImportedWeather(t *testing.T) {
	dir := smallDir(t, "farm.toml", "[prices]", "[imports.weather]\ncolumns = { date = \"Day\", tmax_f = \"Hi\", tmin_f = \"Lo\", rain_in = \"Rain\" }\n\n[prices]")
	season := func() string { text, _, _ := totals(t, dir); return text }
	bring := func(text string) *Recording {
		t.Helper()
		r, problems := OpenRecording(dir)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		var taken records.Taken
		if _, err := r.ImportWeather(context.Background(), "station.csv", []byte(text), recorded, false, &taken); err != nil || taken.New != 1 {
			t.Fatal(taken, err)
		}
		return r
	}
	path := filepath.Join(dir, WeatherFile)
	read := func() string {
		t.Helper()
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	// The last day of the small farm is no longer the last: its gap is filled.
	all := read()
	gap := strings.Replace(all, "2025-06-05,", "# 2025-06-05,", 1)
	if gap == all {
		t.Fatal("no row of 5 June")
	}
	if err := os.WriteFile(path, []byte(gap), 0o666); err != nil {
		t.Fatal(err)
	}
	before := season()
	r := bring("Day,Hi,Lo,Rain\n2025-06-05,90,55,2\n")
	with, wrong := season(), read()
	if with == before {
		t.Fatal("the day taken over makes no difference")
	}
	takeBack(t, r)
	if got := season(); got != before {
		t.Errorf("taken back:\n%s\nwant\n%s", got, before)
	}
	if read() != wrong {
		t.Error("undo touched weather.csv")
	}
	r = bring("Day,Hi,Lo,Rain\n2025-06-05,90,55,2\n") // the same once more, which counts
	if got := season(); got != with {
		t.Errorf("taken over again:\n%s\nwant\n%s", got, with)
	}
	takeBack(t, r)
	if got := season(); got != before {
		t.Error("the second time it cannot be taken back")
	}
	// A line whose row is gone would take back the next that reads alike.
	if err := os.WriteFile(path, []byte(gap), 0o666); err != nil {
		t.Fatal(err)
	}
	var taken records.Taken
	_, err := r.ImportWeather(context.Background(), "station.csv", []byte("Day,Hi,Lo,Rain\n2025-06-05,90,55,2\n"), recorded, false, &taken)
	if want := "records/undone.csv:2: takes back a row that reads like this one and is not in weather.csv any more"; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	f, problems := Load(dir)
	if len(problems) > 0 || !strings.Contains(f.Doubts.Error(), "undone.csv:2:30: row: no row of weather.csv reads like this") {
		t.Errorf("%v\n%v", problems, f.Doubts)
	}
}

// Hours of the day on which the clocks are put back, one of them twice.
func TestImportHourlyWeather(t *testing.T) {
	dir := smallDir(t,
		"weather.csv", "", "time,temp_c,rh_pct,wind_ms,solar_wm2,rain_mm\n2025-11-02T00:00,9,80,2,0,0\n",
		"farm.toml", "start = 2025-06-01", "start = 2025-11-01")
	file := "time;temp_f;rain_mm\n2025-11-02T00:00;48,2;0\n2025-11-02T01:00;46,4;0\n2025-11-02T01:00;44,6;1,5\n2025-11-02T02:00;42,8;0\n"
	for again, want := range []records.Taken{{New: 3, Known: 1}, {New: 0, Known: 4}} {
		r, problems := OpenRecording(dir)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		var taken records.Taken
		_, err := r.ImportWeather(context.Background(), "hours.csv", []byte(file), recorded, false, &taken)
		if err != nil || taken.New != want.New || taken.Known != want.Known {
			t.Fatalf("%d: got %+v, %v", again, taken, err)
		}
	}
	text, err := os.ReadFile(filepath.Join(dir, WeatherFile))
	if err != nil {
		t.Fatal(err)
	}
	want := "time,temp_c,rh_pct,wind_ms,solar_wm2,rain_mm\n2025-11-02T00:00,9,80,2,0,0\n" +
		"2025-11-02T01:00-05:00,8,,,,0\n2025-11-02T01:00-06:00,7,,,,1.5\n2025-11-02T02:00,6,,,,0\n"
	if string(text) != want {
		t.Errorf("got\n%s", text)
	}
}

// writeIntent writes the state of a writer that stopped in the middle; see
// package journal.
func writeIntent(t *testing.T, dir, file string, offset int, text string) {
	t.Helper()
	body, err := json.Marshal(map[string]any{"Intent": map[string]any{"File": file, "Offset": offset, "Text": []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(body)
	state := append([]byte(hex.EncodeToString(sum[:])+"\n"), body...)
	if err := os.WriteFile(filepath.Join(dir, "records", ".state"), state, 0o666); err != nil {
		t.Fatal(err)
	}
}
