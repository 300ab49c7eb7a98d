package records

import (
	"os"
	"strings"
	"testing"
	"time"

	"sandwick/pivot"
)

// oneWell puts both machines of the test farm on one well of that flow, m³/h.
// Either of them draws 180.
func oneWell(w *Writer, flow float64) *Writer {
	w.Farm.Totalisers = map[string]Totaliser{"Reed": {Multiplier: 1, FlowM3H: flow}}
	for _, m := range w.Farm.Machines {
		m.Well = "Reed"
	}
	return w
}

const passHeader = "pivot,start,end,from_deg,to_deg,direction,timer_pct,water\n"

func TestOverdrawn(t *testing.T) {
	const heron = "Heron,2025-06-10T06:00,2025-06-10T16:00,0,90,cw,50,yes\n"
	for _, c := range []struct {
		name, rows string
		flow       float64
		want       string // the doubt, or nothing
	}{
		{"both at once", heron + "\"#2 Plover\",2025-06-10T10:00,2025-06-10T20:00,0,90,cw,50,yes\n", 200,
			`records/passes.csv:3:13: start: from 2025-06-10T10:00 to 2025-06-10T16:00 #2 Plover and Heron ran with water at once and want 180 % of what the well, Reed, gives; one of their times or machines, or its water, may be wrong (got "2025-06-10T10:00")`},
		// The stretch goes on over a change of timer.
		{"in two rows", "Heron,2025-06-10T06:00,2025-06-10T11:00,0,45,cw,50,yes\nHeron,2025-06-10T11:00,2025-06-10T16:00,45,90,cw,50,yes\n\"#2 Plover\",2025-06-10T10:00,2025-06-10T20:00,0,90,cw,50,yes\n", 200,
			`records/passes.csv:4:13: start: from 2025-06-10T10:00 to 2025-06-10T16:00 #2 Plover and Heron ran`},
		{"one dry", heron + "\"#2 Plover\",2025-06-10T10:00,2025-06-10T20:00,0,90,cw,50,no\n", 200, ""},
		{"one after the other", heron + "\"#2 Plover\",2025-06-10T16:00,2025-06-11T02:00,0,90,cw,50,yes\n", 200, ""},
		{"a quarter of an hour", heron + "\"#2 Plover\",2025-06-10T15:45,2025-06-11T01:45,0,90,cw,50,yes\n", 200, ""},
		{"a minute more", heron + "\"#2 Plover\",2025-06-10T15:44,2025-06-11T01:44,0,90,cw,50,yes\n", 200, "to 2025-06-10T16:00"},
		{"the well gives enough", heron + "\"#2 Plover\",2025-06-10T10:00,2025-06-10T20:00,0,90,cw,50,yes\n", 343, ""}, // 360 is less than 5 % more
		{"and just not", heron + "\"#2 Plover\",2025-06-10T10:00,2025-06-10T20:00,0,90,cw,50,yes\n", 342, "105 %"},
		{"flow not known", heron + "\"#2 Plover\",2025-06-10T10:00,2025-06-10T20:00,0,90,cw,50,yes\n", 0, ""},
		// Another mistake, which is told as such: one machine twice at once.
		{"one machine", heron + "Heron,2025-06-10T10:00,2025-06-10T20:00,0,90,cw,50,yes\n", 200, ""},
	} {
		w := oneWell(paper(t, PassesFile, passHeader+c.rows), c.flow)
		r, _, doubts := Read(os.DirFS(w.Dir), w.Farm)
		switch {
		case c.want == "" && len(doubts)+len(r.Overdrawn) > 0, c.want != "" && (len(doubts) != 1 || len(r.Overdrawn) != 1 || !strings.Contains(doubts.Error(), c.want)):
			t.Errorf("%s: got %v\nwant %s", c.name, doubts, c.want)
		}
	}
	// The surplus: 160 m³/h for 6 h.
	w := oneWell(paper(t, PassesFile, passHeader+heron+"\"#2 Plover\",2025-06-10T10:00,2025-06-10T20:00,0,90,cw,50,yes\n"), 200)
	r, _, _ := Read(os.DirFS(w.Dir), w.Farm)
	if o := r.Overdrawn[0]; o.SurplusM3 != 960 || o.To.Sub(o.From) != 6*time.Hour || o.Names() != "#2 Plover and Heron" {
		t.Errorf("got %+v", o)
	}
}

// The one who records it is told at once, in a file of any size: the pass of the
// other machine is one of the rows held against the new one.
func TestRecordOverdrawn(t *testing.T) {
	for _, large := range []bool{false, true} {
		text := passHeader + "Heron,2025-06-10T06:00,2025-06-10T16:00,0,90,cw,50,yes\n"
		w := paper(t)
		if large { // rows of a machine on no well
			w.Farm.Machines = append(w.Farm.Machines, &pivot.Machine{Name: "Crake", HoursAtFull: 20, TimerMinPct: 10, TimerMaxPct: 100, LengthM: 400, FlowM3H: 180})
			row := "Crake,2025-06-10T06:00,2025-06-10T16:00,0,90,cw,50,yes\n"
			text += strings.Repeat(row, 2*leastBytes/len(row)+1)
		}
		oneWell(w, 200)
		if large {
			w.Farm.Machines[2].Well = ""
		}
		w.put(t, PassesFile, text)
		receipt := w.add(t, PassesFile, Entry{"pivot": Word("#2 Plover"), "start": Word("2025-06-10T10:00"), "end": Word("2025-06-10T20:00"),
			"from": Degrees(0), "to": Degrees(90), "direction": Word("cw"), "timer": Percent(50), "water": Word("yes")})
		want := "from 2025-06-10T10:00 to 2025-06-10T16:00 #2 Plover and Heron ran with water at once and want 180 %"
		if len(receipt.Doubts) != 1 || !strings.Contains(receipt.Doubts.Error(), want) {
			t.Errorf("large %v: got %v", large, receipt.Doubts)
		}
	}
}
