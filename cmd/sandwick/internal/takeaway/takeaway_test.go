package takeaway

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot"

	"github.com/emersion/go-ical"
	"github.com/golang-sql/civil"
	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"
)

// aPlan is a plan of two passes over the night on which the clocks of Chicago go
// back (2 November 2025, 02:00 CDT; IANA time zone database).
func aPlan(t *testing.T) *report.Plan {
	t.Helper()
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Skip("no time zone data on this machine")
	}
	at := func(day, hour int) report.Instant {
		return report.Instant(time.Date(2025, time.November, day, hour, 0, 0, 0, loc))
	}
	nan := report.Number(math.NaN())
	return &report.Plan{
		Farm: "Größe; a farm, with a long name", MadeAt: at(1, 6),
		From: report.Day{Year: 2025, Month: 11, Day: 1}, To: report.Day{Year: 2025, Month: 11, Day: 10},
		Passes: []report.Pass{
			{Pivot: "North, big", Well: "W", Start: at(1, 20), End: at(2, 8), Direction: "cw", StartDeg: 350, StopDeg: 20, VolumeM3: 4000, PumpHours: 13, Legs: []report.Leg{
				{FromDeg: 350, ToDeg: 10, Water: true, TimerPct: 25, GrossMM: 20, NetMM: 17, VolumeM3: 4000, Start: at(1, 20), End: at(2, 4)},
				{FromDeg: 10, ToDeg: 20, TimerPct: 100, VolumeM3: nan, Start: at(2, 4), End: at(2, 8)},
			}},
			{Pivot: "North, big", Well: "W", Start: at(6, 6), End: at(7, 6), Direction: "ccw", StartDeg: 20, StopDeg: 20, VolumeM3: 9000, PumpHours: 24, Legs: []report.Leg{
				{FromDeg: 20, ToDeg: 20, Water: true, TimerPct: 40, GrossMM: 12, NetMM: 10, VolumeM3: 9000, Start: at(6, 6), End: at(7, 6)},
			}},
		},
		Zones: []report.ZoneDecision{{Zone: "ridge", Field: "F", Pivot: "North, big", Decision: "water", DepletionMM: 20, TriggerMM: 18, TableM: report.Number(math.Inf(1)), DaysLeftMax: report.Number(math.Inf(1))}},
	}
}

// calendar writes a plan and reads it back by an independent library.
func calendar(t *testing.T, p *report.Plan, former ...string) (string, map[string]ical.Event) {
	t.Helper()
	var b bytes.Buffer
	cut := Cut{"Mint", civil.Date{Year: 2025, Month: 11, Day: 8}, time.Date(2025, time.November, 3, 6, 0, 0, 0, time.UTC), 5}
	old := Former{Text: []byte(strings.Join(former, "")), Pivots: []string{"North, big"}, Fields: []string{"Mint"}}
	if err := WriteCalendar(&b, p, []Cut{cut}, units.US, old); err != nil {
		t.Fatal(err)
	}
	cal, err := ical.NewDecoder(bytes.NewReader(b.Bytes())).Decode()
	if err != nil {
		t.Fatal(err)
	}
	events := map[string]ical.Event{}
	for _, e := range cal.Events() {
		uid, err := e.Props.Text(ical.PropUID)
		if err != nil || uid == "" {
			t.Fatalf("an event without UID: %v", err)
		}
		if _, twice := events[uid]; twice {
			t.Errorf("UID %q twice", uid)
		}
		events[uid] = e
	}
	return b.String(), events
}

func TestCalendarReadBack(t *testing.T) {
	p := aPlan(t)
	text, events := calendar(t, p)
	// RFC 5545, 3.1: lines end in CRLF and hold at most 75 octets without it.
	for _, line := range strings.Split(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		if len(line) > 75 || strings.ContainsAny(line, "\r\n") {
			t.Errorf("line of %d octets: %q", len(line), line)
		}
	}
	if len(events) != 5 { // two starts, two stops, one last water
		t.Errorf("%d events", len(events))
	}
	found := 0
	for uid, e := range events {
		start, err := e.DateTimeStart(time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		if raw := e.Props.Get(ical.PropDateTimeStart).Value; !strings.HasSuffix(raw, "Z") { // 3.3.5, form 2
			t.Errorf("%s: %s is not in UTC", uid, raw)
		}
		summary, _ := e.Props.Text(ical.PropSummary)
		// 20:00 CDT is 01:00 UTC; 08:00 CST, after the change, is 14:00 UTC.
		for _, want := range []struct{ summary, at, status string }{
			{"Start North, big, clockwise from 350 to 20 degrees", "2025-11-02T01:00:00Z", "CONFIRMED"},
			{"Stop North, big at 20 degrees", "2025-11-02T14:00:00Z", "CONFIRMED"},
			{"Start North, big, once round counter-clockwise from 20 degrees", "2025-11-06T12:00:00Z", "TENTATIVE"},
		} {
			if summary == want.summary && start.Format(time.RFC3339) == want.at {
				found++
				if status, _ := e.Props.Text(ical.PropStatus); status != want.status {
					t.Errorf("%s: status %s, want %s", summary, status, want.status)
				}
				if text, _ := e.Props.Text(ical.PropDescription); strings.HasPrefix(summary, "Start") && !strings.Contains(text, "1: ") {
					t.Errorf("%s: the legs are not told: %q", summary, text)
				}
			}
		}
	}
	if found != 3 {
		t.Errorf("found %d of 3 events; have:\n%s", found, text)
	}
}

// A later plan must move the entries that are there, not add to them.
func TestCalendarUpdates(t *testing.T) {
	p := aPlan(t)
	_, before := calendar(t, p)
	p.MadeAt = report.Instant(time.Time(p.MadeAt).Add(2 * time.Hour))
	p.Passes[0].Start = report.Instant(time.Time(p.Passes[0].Start).Add(90 * time.Minute))
	_, after := calendar(t, p)
	if len(after) != len(before) {
		t.Fatalf("%d events, then %d", len(before), len(after))
	}
	for uid, e := range after {
		old, ok := before[uid]
		if !ok {
			t.Errorf("%s is new", uid)
			continue
		}
		a, _ := e.Props.Get(ical.PropSequence).Int()
		b, _ := old.Props.Get(ical.PropSequence).Int()
		if a <= b {
			t.Errorf("%s: sequence %d after %d", uid, a, b)
		}
	}
}

// What a later plan no longer has is cancelled where the file of the one before is
// written over: RFC 5545, 3.8.1.11, and 3.8.7.4 for the sequence.
func TestCalendarCancels(t *testing.T) {
	p := aPlan(t)
	first, before := calendar(t, p)
	second := *p
	second.MadeAt = report.Instant(time.Time(p.MadeAt).Add(2 * time.Hour))
	second.Passes = p.Passes[:1]
	text, after := calendar(t, &second, first)
	if len(after) != len(before) {
		t.Fatalf("%d entries, want the %d of before:\n%s", len(after), len(before), text)
	}
	cancelled := 0
	for uid, e := range after {
		status, _ := e.Props.Text(ical.PropStatus)
		summary, _ := e.Props.Text(ical.PropSummary)
		if want := strings.Contains(uid, "-pass-2-"); want != (status == "CANCELLED") || want != strings.HasPrefix(summary, "Not planned any more: ") {
			t.Errorf("%s: %s, %q", uid, status, summary)
		}
		if status != "CANCELLED" {
			continue
		}
		cancelled++
		old := before[uid]
		was, _ := old.DateTimeStart(time.UTC)
		at, _ := e.DateTimeStart(time.UTC)
		a, _ := e.Props.Get(ical.PropSequence).Int()
		b, _ := old.Props.Get(ical.PropSequence).Int()
		if words, _ := old.Props.Text(ical.PropSummary); summary != "Not planned any more: "+words {
			t.Errorf("%s: %q, was %q", uid, summary, words)
		}
		if !at.Equal(was) || a <= b {
			t.Errorf("%s: at %v, was %v; sequence %d after %d", uid, at, was, a, b)
		}
	}
	if cancelled != 2 {
		t.Errorf("%d entries are cancelled, want the start and the stop of the second pass", cancelled)
	}
	// It stays so, in the same words, until its time has passed.
	if _, again := calendar(t, &second, text); len(again) != len(before) {
		t.Errorf("%d entries after one more, want %d", len(again), len(before))
	} else {
		for uid, e := range again {
			a, _ := e.Props.Text(ical.PropSummary)
			b, _ := after[uid].Props.Text(ical.PropSummary)
			if a != b {
				t.Errorf("%s: %q, then %q", uid, b, a)
			}
		}
	}
	past := second
	past.MadeAt = report.Instant(time.Date(2025, time.November, 20, 6, 0, 0, 0, time.UTC))
	if _, events := calendar(t, &past, text); len(events) != 3 {
		t.Errorf("%d entries when the time of those cancelled has passed, want 3", len(events))
	}
	// Planned again after all, even within the same minute: the higher sequence holds.
	_, back := calendar(t, p, text)
	for uid, e := range back {
		if status, _ := e.Props.Text(ical.PropStatus); status == "CANCELLED" {
			t.Errorf("%s is planned again and still cancelled", uid)
		}
		a, _ := e.Props.Get(ical.PropSequence).Int()
		b, _ := after[uid].Props.Get(ical.PropSequence).Int()
		if strings.Contains(uid, "-pass-2-") && a <= b {
			t.Errorf("%s: sequence %d after %d", uid, a, b)
		}
	}
	// Entries of others, and files that are no calendar, are none of ours.
	other := strings.ReplaceAll(first, "sandwick.invalid", "example.com")
	only := strings.ReplaceAll(first, token("North, big")+"-pass-", token("South")+"-pass-")
	for _, text := range []string{other, only, "no calendar", "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:x", "\x00\xff"} {
		if _, events := calendar(t, &second, text); len(events) != 3 {
			t.Errorf("%d entries after %.30q, want 3", len(events), text)
		}
	}
}

// Whatever lies where the calendar is to go, it is no reason to fall over.
func FuzzFormer(f *testing.F) {
	f.Add("BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:South-pass-1-stop@F.sandwick.invalid\r\nDTSTART:20251102T010000Z\r\nSUMMARY:Stop\\, South\r\nSEQUENCE:5\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n")
	f.Add("BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID;X=\"a:b\":South-cut-\nDTSTART;TZID=Nowhere:20251102T010000\nEND:VEVENT")
	f.Fuzz(func(t *testing.T, text string) {
		for uid, e := range (&Former{Text: []byte(text), Pivots: []string{"South"}, Fields: []string{"South"}}).entries("@F.sandwick.invalid") {
			if !strings.HasPrefix(uid, "South-") || e.at.IsZero() && !strings.Contains(text, "0001") {
				t.Errorf("%q: %+v", uid, e)
			}
		}
	})
}

func TestMapReadBack(t *testing.T) {
	p := aPlan(t)
	m := &pivot.Machine{Name: "North, big", Well: "W", Center: orb.Point{-95.35, 44.33}, LengthM: 400, FlowM3H: 200, HoursAtFull: 12,
		TimerMinPct: 5, TimerMaxPct: 100, MaxGrossMM: math.Inf(1), MaxLegs: 8, Efficiency: 0.85, WettedM: math.NaN(), Reversible: true}
	// A zone drawn clockwise: RFC 7946, 3.1.6 wants it the other way round.
	zone := Zone{Name: "ridge", Soil: "sand", Area: orb.MultiPolygon{{{{-95.351, 44.331}, {-95.349, 44.331}, {-95.349, 44.329}, {-95.351, 44.329}, {-95.351, 44.331}}}}}
	var b bytes.Buffer
	if err := WriteMap(&b, p, []*pivot.Machine{m}, []Zone{zone}); err != nil {
		t.Fatal(err)
	}
	var fc geom.GeoJSONFeatureCollection
	if err := json.Unmarshal(b.Bytes(), &fc); err != nil { // checks that every polygon is valid, too
		t.Fatal(err)
	}
	if len(fc) != 4 {
		t.Fatalf("%d features, want a zone and 3 legs", len(fc))
	}
	// Metres in a degree at the pivot point, near enough for areas to a percent.
	const perDegree = 111_200.0
	squareM := perDegree * perDegree * math.Cos(44.33*math.Pi/180)
	shares := []float64{}
	for _, f := range fc {
		area := f.Geometry.Area(geom.SignedArea) * squareM
		if area <= 0 {
			t.Errorf("%v: the outer ring is not anticlockwise", f.Properties)
		}
		if f.Properties["kind"] == "leg" {
			shares = append(shares, area/(math.Pi*400*400)*360)
		}
	}
	for i, want := range []float64{20, 10, 360} {
		if math.Abs(shares[i]-want) > 0.01*want {
			t.Errorf("leg %d covers %.2f degrees of the circle, want %g", i+1, shares[i], want)
		}
	}
	props := fc[0].Properties
	if props["decision"] != "water" || props["depletion_mm"] != 20.0 || props["water_table_m"] != nil || props["days_left_max"] != nil {
		t.Errorf("zone: %v", props)
	}
	if leg := fc[1].Properties; leg["timer_pct"] != 25.0 || leg["gross_mm"] != 20.0 || leg["start"] != "2025-11-01T20:00:00-05:00" {
		t.Errorf("leg: %v", leg)
	}
	if _, has := fc[2].Properties["volume_m3"]; !has || fc[2].Properties["volume_m3"] != nil {
		t.Error("a volume that is not known is not null")
	}
}

// Two names must never give one identifier, and an identifier is plain ASCII.
func TestToken(t *testing.T) {
	seen := map[string]string{}
	for _, name := range []string{"a b", "a_b", "a-b", "ab", "a_20_b", "Größe", "Gr_f6_ße", ""} {
		id := token(name)
		if other, twice := seen[id]; twice {
			t.Errorf("%q and %q are both %q", name, other, id)
		}
		seen[id] = name
		for _, r := range id {
			if r > 126 || r < 33 {
				t.Errorf("%q: %q", name, id)
			}
		}
	}
}
