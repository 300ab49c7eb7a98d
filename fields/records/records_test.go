package records

import (
	"math"
	"testing"
	"testing/fstest"
	"time"

	"github.com/golang-sql/civil"
)

func read(t *testing.T, name, text string) (Records, string) {
	t.Helper()
	r, problems, doubts := Read(fstest.MapFS{Dir + "/" + name: {Data: []byte(text)}}, testFarm(t))
	said := problems.Error()
	if len(doubts) > 0 {
		said += "doubts: " + doubts.Error()
	}
	return r, said
}

func TestNoFiles(t *testing.T) {
	r, problems, doubts := Read(fstest.MapFS{}, testFarm(t))
	if len(problems)+len(doubts)+len(r.Rain)+len(r.Passes)+len(r.Probes)+len(r.WaterTable)+len(r.Cuts)+len(r.Meters)+len(r.Seen) > 0 {
		t.Errorf("records from nothing: %+v, %v, %v", r, problems, doubts)
	}
}

// A file as a spreadsheet leaves it: byte-order mark, semicolons, decimal
// commas, CRLF, blank lines, trailing separators, rows out of order.
func TestRainFromSpreadsheet(t *testing.T) {
	r, said := read(t, RainFile, "\ufeffdate;place;amount_in;note;;\r\n\r\n2025-06-09;Wheel;0,5;\"after; dark\";;\r\n;;;;;\r\n2025-06-02;Round;1;;;\r\n")
	if said != "" {
		t.Fatal(said)
	}
	if len(r.Rain) != 2 || r.Rain[0].Place != "Round" || r.Rain[0].MM != 25.4 || r.Rain[0].Pos.Line != 5 ||
		r.Rain[1].Date != (civil.Date{Year: 2025, Month: 6, Day: 9}) || r.Rain[1].MM != 12.7 || r.Rain[1].Note != "after; dark" || r.Rain[1].Pos.Line != 3 {
		t.Errorf("%+v", r.Rain)
	}
}

func TestPasses(t *testing.T) {
	r, said := read(t, PassesFile, `pivot,start,end,from_deg,to_deg,direction,timer_pct,water,note
Wheel,2025-06-09T06:00,,90,360,cw,30,yes,end by the timer
Half,2025-06-01 06:00,2025-06-01 16:00:00,200,20,ccw,,no,walked back
Wheel,2025-06-02T06:00-05:00,2025-06-03T06:00,90,90,ccw,50,yes,
`)
	if said != "" {
		t.Fatal(said)
	}
	if len(r.Passes) != 3 {
		t.Fatalf("%+v", r.Passes)
	}
	half, full, part := &r.Passes[0], &r.Passes[1], &r.Passes[2]
	if half.Pivot != "Half" || half.Water || half.Clockwise || half.Arc().Span() != 180 || half.Hours() != 10 || !math.IsNaN(half.TimerPct) {
		t.Errorf("%+v", half)
	}
	if !full.Water || full.Clockwise || full.Arc().Span() != 360 || full.Hours() != 24 {
		t.Errorf("%+v", full)
	}
	// 270 of 360 degrees at 30 % of a machine that needs 12 hours: 30 hours.
	if !part.EndByTimer || part.To != 0 || math.Abs(part.Hours()-30) > 1e-9 || part.TimerPct != 30 {
		t.Errorf("%+v, %.4f h", part, part.Hours())
	}
}

// When the clocks go back 01:10 comes after 01:30: the second one is meant.
func TestPassInTheDoubleHour(t *testing.T) {
	r, said := read(t, PassesFile, "pivot,start,end,from_deg,to_deg,direction,water\nHalf,2025-11-02T00:40,2025-11-02T01:10,20,25,cw,yes\nHalf,2025-11-02T01:30-05:00,2025-11-02T01:10,25,30,cw,yes\n")
	if said != "" {
		t.Fatal(said)
	}
	if len(r.Passes) != 2 || r.Passes[0].Hours() != 0.5 || math.Abs(r.Passes[1].Hours()-40.0/60) > 1e-9 {
		t.Errorf("%+v", r.Passes)
	}
}

func TestReadings(t *testing.T) {
	r, said := read(t, ProbesFile, "date,zone,top_ft,bottom_ft,water_pct,available_pct,suction_cb\n2025-06-03,East,0,1,12,,\n2025-06-03,West,1,2,,80,\n2025-06-02,West,0,1,,,30\n")
	if said != "" {
		t.Fatal(said)
	}
	p := r.Probes
	if len(p) != 3 || p[0].SuctionKPa != 30 || !math.IsNaN(p[0].WaterFrac) || p[1].WaterFrac != 0.12 || p[2].AvailableFrac != 0.8 || p[2].TopM != 0.3048 {
		t.Errorf("%+v", p)
	}
	r, said = read(t, WaterTableFile, "date,pipe,depth_ft\n2025-06-09,P1,4\n2025-04-01,P1,3\n")
	if said != "" || len(r.WaterTable) != 2 || math.Abs(r.WaterTable[0].DepthM-0.9144) > 1e-12 {
		t.Errorf("%+v, %s", r.WaterTable, said)
	}
	r, said = read(t, MetersFile, "date,well,reading,unit,event,note\n2025-06-09,North,12,mgal,,\n2025-06-01,North,9900,MGAL,,\n2025-06-02,North,,gal,missing,\n2025-06-05,North,3,mgal,rollover,\n")
	if said != "" || len(r.Meters) != 4 || r.Meters[0].Unit.Suffix != "mgal" || !math.IsNaN(r.Meters[1].Reading) || r.Meters[2].Event != "rollover" {
		t.Errorf("%+v, %s", r.Meters, said)
	}
	r, said = read(t, CutsFile, "date,field,hay_lb,oil_lb\n2025-07-20,Round,20000,100\n")
	if said != "" || len(r.Cuts) != 1 || math.Abs(r.Cuts[0].OilKg-45.359237) > 1e-9 {
		t.Errorf("%+v, %s", r.Cuts, said)
	}
	r, said = read(t, SeenFile, "date,zone,seen\n2025-07-20,East,Wilted\n")
	if said != "" || len(r.Seen) != 1 || r.Seen[0].What != "wilted" {
		t.Errorf("%+v, %s", r.Seen, said)
	}
}

func TestManyBadRowsAreAllTold(t *testing.T) {
	text := "date,place,amount_mm\n"
	for range 30 {
		text += "2025-06-02,Ruond,1\n"
	}
	r, problems, _ := Read(fstest.MapFS{Dir + "/" + RainFile: {Data: []byte(text)}}, testFarm(t))
	if len(r.Rain) != 0 || len(problems) != 30 || problems[29].Line != 31 {
		t.Errorf("%d rows, %d problems", len(r.Rain), len(problems))
	}
}

func BenchmarkReadPasses(b *testing.B) {
	text := []byte("pivot,start,end,from_deg,to_deg,direction,timer_pct,water,note\n")
	at := time.Date(2025, 6, 1, 6, 0, 0, 0, time.UTC)
	const rows = 400 // ten seasons of one busy machine
	for range rows {
		text = append(text, "Wheel,"+at.Format("2006-01-02T15:04")+","+at.Add(24*time.Hour).Format("2006-01-02T15:04")+",0,0,cw,50,yes,\n"...)
		at = at.Add(30 * time.Hour)
	}
	farm := testFarm(b)
	b.ReportAllocs()
	for b.Loop() {
		r, problems, _ := Read(fstest.MapFS{Dir + "/" + PassesFile: {Data: text}}, farm)
		if len(r.Passes) != rows || len(problems) > 0 {
			b.Fatal(len(r.Passes), problems)
		}
	}
}
