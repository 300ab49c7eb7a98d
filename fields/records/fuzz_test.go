package records

import (
	"bytes"
	"path"
	"testing"
	"testing/fstest"
	"time"

	"github.com/golang-sql/civil"
	"github.com/rogpeppe/go-internal/txtar"

	"sandwick/pivot"
)

func testFarm(t testing.TB) *Farm {
	t.Helper()
	chicago, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	return &Farm{
		Location: chicago, Start: civil.Date{Year: 2025, Month: 6, Day: 1},
		Wells: []string{"North"}, Fields: []string{"Round"}, Zones: []string{"East", "West"}, Pipes: []string{"P1"},
		Machines: []*pivot.Machine{
			{Name: "Wheel", LengthM: 200, FlowM3H: 100, HoursAtFull: 12, TimerMinPct: 5, TimerMaxPct: 100, Reversible: true},
			{Name: "Half", LengthM: 200, FlowM3H: 100, HoursAtFull: 12, TimerMinPct: 5, TimerMaxPct: 100, Reversible: true, Stops: &pivot.Arc{From: 20, To: 200}},
		},
	}
}

// FuzzRecords gives one file of records any text. No text makes Read panic,
// every message points into the file, and what is read keeps to its ranges.
func FuzzRecords(f *testing.F) {
	names := []string{RainFile, PassesFile, ProbesFile, WaterTableFile, CutsFile, MetersFile, SeenFile}
	ar, err := txtar.ParseFile("../testdata/small.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range ar.Files {
		for i, n := range names {
			if file.Name == path.Join(Dir, n) {
				f.Add(uint8(i), file.Data)
				f.Add(uint8(i), bytes.ReplaceAll(file.Data, []byte(","), []byte(";")))
				f.Add(uint8(i), bytes.ReplaceAll(file.Data, []byte("\n"), []byte(",,\r\n\r\n")))
			}
		}
	}
	f.Add(uint8(1), []byte("pivot,start,end,from_deg,to_deg,direction,timer_pct,water\nHalf,2025-11-02T01:30,2025-11-02T01:10,20,200,cw,,no\nHalf,2025-11-02 01:30-06:00,,200,20,ccw,1e-300,no\n"))
	f.Add(uint8(5), []byte("date,well,reading,unit,event\n2025-06-01,North,,gal,missing\n2025-06-02,North,-0,MGAL,rollover\n"))
	farm := testFarm(f)
	f.Fuzz(func(t *testing.T, which uint8, src []byte) {
		name := path.Join(Dir, names[int(which)%len(names)])
		r, problems, doubts := Read(fstest.MapFS{name: {Data: src}}, farm)
		lines := bytes.Count(src, []byte("\n")) + bytes.Count(src, []byte("\r")) + 1
		for _, p := range append(problems, doubts...) {
			if p.File != name || p.Line < 0 || p.Line > lines || p.Msg == "" {
				t.Errorf("message of no use: %#v", p)
			}
		}
		for i, p := range r.Passes {
			if !p.End.After(p.Start) || !(p.From >= 0 && p.From < 360) || !(p.To >= 0 && p.To < 360) {
				t.Errorf("pass %+v", p)
			}
			if i > 0 && r.Passes[i-1].Pivot == p.Pivot && p.Start.Before(r.Passes[i-1].Start) {
				t.Error("passes out of order")
			}
		}
		for _, x := range r.Rain {
			if !(x.MM >= 0 && x.MM <= maxRainMM) {
				t.Errorf("rain %+v", x)
			}
		}
		for _, x := range r.WaterTable {
			if !(x.DepthM >= 0 && x.DepthM <= maxTableM) {
				t.Errorf("table %+v", x)
			}
		}
		for _, x := range r.Probes {
			if !(x.TopM >= 0 && x.BottomM > x.TopM) {
				t.Errorf("probe %+v", x)
			}
		}
	})
}
