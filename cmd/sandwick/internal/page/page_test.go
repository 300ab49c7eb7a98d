package page

import (
	"bytes"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/browser"
	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot"
	"sandwick/pivot/runplan"

	"github.com/chromedp/chromedp"
	"github.com/golang-sql/civil"
	"github.com/paulmach/orb"
	"golang.org/x/net/html"
)

// bigFarm is an invented farm of so many pivots, every sheet as full as they
// get: eight legs, zones with outlines of a hundred corners, a whole season. Names
// try to break out of wherever they are put.
func bigFarm(pivots, zones int) *Args {
	now := time.Date(2025, time.August, 20, 6, 0, 0, 0, time.UTC)
	today := civil.DateOf(now)
	first := civil.Date{Year: 2025, Month: time.April, Day: 1}
	const ahead = 10
	due := func(zone string) report.Reason {
		return report.Reason{Reason: runplan.Reason{Code: runplan.Due, Zone: zone, Date: today.AddDays(1), DepletionMM: 24, TriggerMM: 25, TableM: math.Inf(1)}}
	}
	p := &report.Plan{Farm: `Big <script>alert(1)</script> & "Co"`, MadeAt: report.Instant(now), From: report.Day(today), To: report.Day(today.AddDays(ahead - 1)),
		Cost: report.Cost{Pumping: 4000, Labour: 300, Carry: 700, Total: 5000, Currency: "USD"}}
	a := &Args{Kind: RunPlan, Farm: p.Farm, Now: now, Units: units.US, Plan: p, Currency: "USD"}
	for i := range pivots {
		name := fmt.Sprintf("Pivot <%d>", i+1)
		m := &pivot.Machine{Name: name, Well: fmt.Sprintf("Well %d", i/3), Center: orb.Point{-95.35 + 0.02*float64(i), 44.33}, LengthM: 400, EndGunM: 20,
			EndGunArcs: []pivot.Arc{{From: 30, To: 60}}, FlowM3H: 200, HoursAtFull: 12, TimerMinPct: 5, TimerMaxPct: 100, MaxGrossMM: math.Inf(1),
			MaxLegs: 8, Efficiency: 0.85, WettedM: math.NaN(), Reversible: true}
		plane := pivot.NewPlane(m.Center)
		pv := Pivot{Machine: m, Slices: 72, Arm: 10, Crops: []Crop{{Field: "Field " + name, Crop: "corn", Stage: "mid-season", Cut: today.AddDays(12), LastWater: now.AddDate(0, 0, 6), DryDays: 5}}}
		for z := range zones {
			zone := Zone{Name: fmt.Sprintf("%s zone %d & more", name, z), Field: "F", Soil: "sand", TableM: 1.2, Fed: z == 1}
			ring := orb.Ring{}
			from, width := 360/float64(zones)*float64(z), 360/float64(zones)
			ring = append(ring, m.Center)
			for k := range 100 {
				az := from + width*float64(k)/99
				east, north := math.Sincos(az * math.Pi / 180)
				out := 430 + 15*math.Sin(az)
				ring = append(ring, plane.ToLonLat(orb.Point{out * east, out * north}))
			}
			zone.Area = orb.MultiPolygon{{append(ring, m.Center)}}
			for s := int(from / 5); s < int((from+width)/5); s++ {
				zone.Cells = append(zone.Cells, Cell{Slice: s, DepletionMM: float64(s % 30), TriggerMM: 25})
			}
			for d := range today.DaysSince(first) + ahead {
				dep := 12 + 10*math.Sin(float64(d+z)/3)
				zone.Days = append(zone.Days, SoilDay{Date: first.AddDays(d), DepletionMM: dep, DriestMM: dep + 2, LowMM: dep - 1, HighMM: dep + 3, TriggerMM: 25 + 3*math.Sin(float64(d)),
					RainMM: math.Max(0, 20*math.Sin(float64(d)*1.7)), IrrigationMM: math.Max(0, 15*math.Sin(float64(d)*2.3))})
			}
			zone.Ahead = len(zone.Days) - ahead
			pv.Zones = append(pv.Zones, zone)
			p.Zones = append(p.Zones, report.ZoneDecision{Zone: zone.Name, Field: "F", Pivot: name, Decision: "water", DepletionMM: 24, TriggerMM: 25, TableM: 1.2, DaysLeftMin: 1, DaysLeftMax: 2, Why: due(zone.Name)})
			p.Behind = append(p.Behind, report.Behind{Field: "F", Zone: zone.Name, Pivot: name, From: p.MadeAt, AreaM2: 40000, WorstMM: 4})
		}
		a.Pivots = append(a.Pivots, pv)
		for k := range 5 {
			start := now.Add(time.Duration(48*k) * time.Hour)
			pass := report.Pass{Pivot: name, Well: m.Well, Start: report.Instant(start), End: report.Instant(start.Add(40 * time.Hour)), Direction: "cw", StartDeg: 10, StopDeg: 10,
				VolumeM3: 8000, PumpHours: 36, Cost: 150, Why: due(name + " zone 0 & more"),
				Pauses: []report.Pause{{From: report.Instant(start.Add(8 * time.Hour)), To: report.Instant(start.Add(13 * time.Hour)), Why: "load control"}}}
			for l := range 8 {
				pass.Legs = append(pass.Legs, report.Leg{FromDeg: report.Number(10 + 45*l), ToDeg: report.Number(math.Mod(float64(55+45*l), 360)), Water: l != 3, TimerPct: report.Number(20 + 5*l),
					GrossMM: report.Number(30 - 2*l), NetMM: 20, Hours: 5, VolumeM3: 1000, Start: report.Instant(start.Add(time.Duration(5*l) * time.Hour)), End: report.Instant(start.Add(time.Duration(5*l+5) * time.Hour)), Why: due(name + " zone 0 & more")})
			}
			p.Passes = append(p.Passes, pass)
		}
	}
	for w := range (pivots + 2) / 3 {
		well := Well{Name: fmt.Sprintf("Well %d", w)}
		for i := w * 3; i < min(w*3+3, pivots); i++ {
			lane := Lane{Pivot: a.Pivots[i].Machine.Name}
			for k := range 5 {
				at := now.Add(time.Duration(48*k) * time.Hour)
				lane.Runs = append(lane.Runs, Run{at, at.Add(30 * time.Hour), true}, Run{at.Add(30 * time.Hour), at.Add(34 * time.Hour), false})
			}
			well.Lanes = append(well.Lanes, lane)
		}
		for d := range ahead {
			at := now.AddDate(0, 0, d).Add(8 * time.Hour)
			well.NoRun = append(well.NoRun, Span{at, at.Add(5 * time.Hour), "load control"})
		}
		a.Wells = append(a.Wells, well)
		a.Use = append(a.Use, Use{Well: well.Name, TakenM3: 90000, Hours: 400, PlannedM3: 20000, LimitM3: 200000, LeftM3: 110000, EnergyCost: 3000})
	}
	for d := range 38 {
		a.Weather = append(a.Weather, WeatherDay{Date: today.AddDays(d - 28), EToMM: 5, RainMM: math.Max(0, 12*math.Sin(float64(d))), TmaxC: 28, TminC: 15, RainChance: math.NaN(), Ahead: d >= 28})
	}
	a.Outlook = &report.Outlook{From: report.Day(today), To: report.Day(today.AddDays(29)), Rain: report.UsefulRain{MM: 1}, DryNow: report.DryNow{Days: 4, Through: report.Day(today.AddDays(-1))}, NoRain: true,
		Pumps: []report.PumpOutlook{{Well: "Well 0", Verdict: "keeps_up", NeedMM: 5, CapacityMM: 6, Hours: 24}}}
	for k := range 9 {
		a.Outlook.Chances = append(a.Outlook.Chances, report.StayDry{MoreDays: k + 1, ChancePct: 100 / report.Number(k+2), LowPct: 100 / report.Number(k+4), HighPct: 100 / report.Number(k+1)})
	}
	for i := range p.Zones {
		a.Outlook.Zones = append(a.Outlook.Zones, report.ZoneDryout{Zone: p.Zones[i].Zone, Due: report.Spread{Already: true}, Stress: report.Spread{Early: report.Day(today), Likely: report.Day(today.AddDays(2))}})
	}
	return a
}

func setPage(t testing.TB, a *Args) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, a); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// BenchmarkPage sets the page of a farm of twelve pivots.
func BenchmarkPage(b *testing.B) {
	a := bigFarm(12, 5)
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		size = len(setPage(b, a))
	}
	b.ReportMetric(float64(size), "bytes")
}

// A page of twelve pivots goes through any mail: under 1.5 MB.
func TestSize(t *testing.T) {
	if n := len(setPage(t, bigFarm(12, 5))); n > 1_500_000 {
		t.Errorf("%d bytes", n)
	}
}

// The page must work under its own policy: no script, no style or handler in an
// attribute, no address outside; and every id and reference must agree.
func TestSelfContained(t *testing.T) {
	doc, err := html.Parse(bytes.NewReader(setPage(t, bigFarm(2, 5))))
	if err != nil {
		t.Fatal(err)
	}
	ids, refs := map[string]int{}, map[string]bool{}
	url := regexp.MustCompile(`url\(#([^)]+)\)`)
	policy := ""
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode {
			switch n.Data {
			case "script", "iframe", "object", "embed", "link", "img", "base", "form":
				t.Errorf("there is a %s", n.Data)
			}
			equiv := false
			for _, a := range n.Attr {
				equiv = equiv || a.Key == "http-equiv" && a.Val == "Content-Security-Policy"
			}
			for _, a := range n.Attr {
				switch {
				case a.Key == "id":
					ids[a.Val]++
				case a.Key == "style" || strings.HasPrefix(a.Key, "on") || a.Key == "src":
					t.Errorf("<%s %s=%q>", n.Data, a.Key, a.Val)
				case a.Key == "href" && strings.HasPrefix(a.Val, "#"):
					refs[a.Val[1:]] = true
				case a.Key == "href":
					t.Errorf("a link leads to %q", a.Val)
				case a.Key == "content" && equiv:
					policy = a.Val
				}
				for _, m := range url.FindAllStringSubmatch(a.Val, -1) {
					refs[m[1]] = true
				}
			}
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
	for id, n := range ids {
		if n > 1 {
			t.Errorf("id %q %d times", id, n)
		}
	}
	for ref := range refs {
		if ids[ref] == 0 {
			t.Errorf("nothing has the id %q", ref)
		}
	}
	if policy != Policy() {
		t.Errorf("policy %q", policy)
	}
}

// Numbers that are missing or have no end must not reach a drawing.
func TestMissingNumbers(t *testing.T) {
	a := bigFarm(1, 3)
	nan := math.NaN()
	for z := range a.Pivots[0].Zones {
		zone := &a.Pivots[0].Zones[z]
		zone.TableM = math.Inf(1)
		for d := range zone.Days {
			zone.Days[d].TriggerMM, zone.Days[d].RainMM, zone.Days[d].HighMM = nan, nan, math.Inf(1)
		}
	}
	a.Pivots[0].Zones[0].Days = nil
	a.Pivots[0].Zones[0].Ahead = 0
	a.Weather[3].TmaxC, a.Weather[3].TminC, a.Weather[4].RainMM = nan, nan, nan
	a.Use[0].LimitM3, a.Use[0].LeftM3 = math.Inf(1), math.Inf(1)
	a.Outlook.Chances[2].ChancePct = report.Number(nan)
	text := string(setPage(t, a))
	for _, bad := range []string{"NaN", "Inf"} {
		if i := strings.Index(text, bad); i >= 0 {
			t.Errorf("%s: ...%s...", bad, text[max(0, i-120):min(len(text), i+40)])
		}
	}
	for _, name := range Plots(a) {
		if err := WritePNG(&bytes.Buffer{}, a, name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestPNG(t *testing.T) {
	a := bigFarm(1, 2)
	for _, name := range Plots(a) {
		var b bytes.Buffer
		if err := WritePNG(&b, a, name); err != nil {
			t.Fatal(err)
		}
		im, err := png.Decode(&b)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if size := im.Bounds().Size(); size.X != 1500 || size.Y != 720 { // 7.5 × 3.6 inches at 200 an inch
			t.Errorf("%s: %v", name, size)
		}
	}
	if err := WritePNG(&bytes.Buffer{}, a, "nothing"); err == nil {
		t.Error("a plot that does not exist was written")
	}
}

// The notes round the rim must keep their order and not lie on each other.
func TestSpread(t *testing.T) {
	for _, crowd := range []float64{360, 90, 20, 5} {
		notes := []note{}
		for i := range 12 {
			notes = append(notes, note{leg: i%2 - 1, az: 340 + crowd/12*float64(i), w: 90, h: 50})
		}
		out := spread(notes)
		for i := range out {
			a, b := &out[i], &out[(i+1)%len(out)]
			gap := math.Mod(b.at-a.at+720, 360) * math.Pi / 180 * labelR
			if gap < 48 { // at least one stands below or beside the other by its height
				t.Errorf("over %g degrees: notes %d and %d are %.0f apart", crowd, i, i+1, gap)
			}
		}
	}
}

// However full a sheet is, it stays one sheet of paper.
func TestPrintedSheets(t *testing.T) {
	tab := browser.Open(t)
	for _, farm := range []struct{ pivots, zones int }{{12, 5}, {2, 9}, {1, 14}} {
		file := filepath.Join(t.TempDir(), "page.html")
		a := bigFarm(farm.pivots, farm.zones)
		for i := range a.Wells { // twice as many, each for fewer machines
			if w := &a.Wells[i]; len(w.Lanes) > 2 {
				a.Wells = append(a.Wells, Well{Name: w.Name + " b", Lanes: w.Lanes[2:], NoRun: w.NoRun})
				w.Lanes = w.Lanes[:2]
			}
		}
		if err := os.WriteFile(file, setPage(t, a), 0o644); err != nil {
			t.Fatal(err)
		}
		tab.Visit(t, "file://"+file, 1200, 800)
		for name, paper := range map[string]chromedp.PaperSize{"letter": chromedp.PaperLetter, "A4": chromedp.PaperA4} {
			if n := browser.Pages(tab.Print(t, paper)); n != farm.pivots+2 {
				t.Errorf("%d pivots of %d zones on %s: %d sheets", farm.pivots, farm.zones, name, n)
			}
		}
	}
	if list := tab.Complaints(); len(list) > 0 {
		t.Errorf("the console complains: %q", list)
	}
}

// visible is a page's text without its marks.
func visible(page []byte) string {
	text := regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`).ReplaceAllString(string(page), " ")
	return strings.Join(strings.Fields(html.UnescapeString(text)), " ")
}

// The first sheet is often the only one looked at: where it says that something is
// to run it says what to mind before it does.
func TestFrontSheetCautions(t *testing.T) {
	front := func(a *Args) string {
		text, _, _ := strings.Cut(string(setPage(t, a)), "</header>")
		return visible([]byte(text))
	}
	a := bigFarm(2, 3)
	if text := front(a); !strings.Contains(text, "Before anything moves Walk the path") {
		t.Errorf("no caution on the front sheet: %s", text)
	}
	a.Plan.Passes = nil
	if text := front(a); strings.Contains(text, "Before anything moves") {
		t.Errorf("nothing moves, and the front sheet warns of it: %s", text)
	}
}

// Without earlier years there is no chance to draw, and the page says so.
func TestNoChances(t *testing.T) {
	a := bigFarm(1, 2)
	for i := range a.Outlook.Chances {
		c := &a.Outlook.Chances[i]
		c.ChancePct, c.LowPct, c.HighPct = report.Number(math.NaN()), report.Number(math.NaN()), report.Number(math.NaN())
	}
	page := setPage(t, a)
	if text := string(page); strings.Contains(text, "plot outlook") || strings.Contains(text, "The upright line is the range") {
		t.Error("chances that are not known are drawn")
	}
	if !strings.Contains(visible(page), "There is no record of earlier years: how long it may last is not known.") {
		t.Error("it is not said that the chances are not known")
	}
}

// What is written on a plot stays on it. Sans-serif digits are 0.56 em wide and
// letters no wider on the average (Arial's own metrics).
func TestPlotLabelsAreWhole(t *testing.T) {
	for shift := range 40 {
		a := bigFarm(1, 2)
		for z := range a.Pivots[0].Zones {
			zone := &a.Pivots[0].Zones[z]
			zone.Days = zone.Days[100 : len(zone.Days)-shift]
			zone.Ahead = min(zone.Ahead-100, len(zone.Days))
		}
		text := string(setPage(t, a))
		for _, svg := range regexp.MustCompile(`(?s)<svg class="plot [^"]*".*?</svg>`).FindAllString(text, -1) {
			for _, m := range regexp.MustCompile(`<text x="([\d.]+)" y="[\d.-]+" class="sc"[^>]*>([^<]*)<`).FindAllStringSubmatch(svg, -1) {
				var x float64
				fmt.Sscan(m[1], &x)
				if end := x + 0.56*10.5*float64(len(m[2])); end > plotW+2 {
					t.Fatalf("%q at %g ends at %.0f, the plot at %g: %.80s", m[2], x, end, plotW, svg)
				}
			}
		}
	}
}

// Every part of a field's water is named with its amount, however narrow.
func TestBalanceNamesEveryPart(t *testing.T) {
	f := report.SeasonField{Field: "Mint", Crop: "peppermint"}
	g := &f.Season.SeasonGround
	g.RainMM, g.NetMM, g.UpfluxMM, g.ETMM, g.PercolationMM, g.RunoffMM, g.StorageMM = 218, 245, 139, 488, 150, 4, -40
	for _, shift := range []report.Number{0, 100, 140} {
		g.RainMM, g.ETMM = 218-shift, 488-shift
		v := view{s: units.US}
		b := v.fieldBook(&report.Season{}, &f)
		labels := regexp.MustCompile(`<text x="([\d.]+)" y="([\d.]+)" class="sc">([^<]*)<`).FindAllStringSubmatch(string(b.Drawing), -1)
		names := ""
		ends := map[string]float64{}
		for _, m := range labels {
			var x float64
			fmt.Sscan(m[1], &x)
			names += m[3] + "; "
			if x < ends[m[2]] {
				t.Errorf("%q lies on its neighbour", m[3])
			}
			ends[m[2]] = x + 0.5*10.5*float64(len(m[3]))
			if ends[m[2]] > plotW+2 {
				t.Errorf("%q ends at %.0f", m[3], ends[m[2]])
			}
		}
		for _, want := range []string{"rain ", "irrigation 9.65", "from below 5.47", "out of store 1.57", "ET ", "percolation 5.91", "runoff 0.16"} {
			if !strings.Contains(names, want) {
				t.Errorf("no %q among %s", want, names)
			}
		}
	}
}

// The front sheet of a status names the zones, the worst first.
func TestStatusFrontSheet(t *testing.T) {
	a := bigFarm(2, 3)
	a.Kind, a.Plan = Standing, nil
	a.Status = &report.Status{Days: 10}
	for _, z := range []string{"Pivot <2> zone 1 & more", "Pivot <1> zone 0 & more", "Pivot <1> zone 2 & more"} {
		a.Status.Zones = append(a.Status.Zones, report.ZoneStatus{Zone: z, Pivot: z[:9], Standing: "soon", DriestMM: 24, DriestTrigMM: 25, DaysLeftMin: 1, DaysLeftMax: 2})
	}
	text, _, _ := strings.Cut(string(setPage(t, a)), "</header>")
	text = visible([]byte(text))
	if !regexp.MustCompile(`The driest first.*Pivot <2> zone 1 & more soon 0\.94 0\.98 .*Pivot <1> zone 0.*Pivot <1> zone 2`).MatchString(text) {
		t.Errorf("the zones are not on the front sheet, worst first: %s", text)
	}
}
