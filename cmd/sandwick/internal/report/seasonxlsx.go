// The season's books as a workbook: numbers as numbers, units in the headers, the
// header row frozen and printed on every page.

package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
	"github.com/xuri/excelize/v2"
)

// The sheets of the workbook.
const (
	sheetWells  = "Wells by month"
	sheetFields = "Fields"
	sheetDaily  = "Daily"
	sheetNotes  = "Notes and sources"
)

// xcol is one column of a sheet.
type xcol struct {
	head   string
	format string // of numbers, as a workbook has it; empty: text
	width  float64
}

// book is a workbook in the making; the first error stays.
type book struct {
	file   *excelize.File
	styles map[look]int
	sheets int
	err    error
}

// look is how a cell looks.
type look struct {
	format      string // of a number or day; empty: text
	heavy, wrap bool
}

func (b *book) note(err error) {
	if b.err == nil {
		b.err = err
	}
}

// look is the workbook's number for a look.
func (b *book) look(l look) int {
	if id, ok := b.styles[l]; ok {
		return id
	}
	style := &excelize.Style{Font: &excelize.Font{Bold: l.heavy}}
	if l.format != "" {
		style.CustomNumFmt = &l.format
	}
	if l.wrap {
		style.Alignment = &excelize.Alignment{WrapText: true, Vertical: "top"}
	}
	id, err := b.file.NewStyle(style)
	b.note(err)
	b.styles[l] = id
	return id
}

// dateFormat is how a workbook shows a day.
const dateFormat = "yyyy-mm-dd"

// sheet writes one sheet: a header and rows of strings, numbers, whole numbers,
// days and yes or no. A missing number is an empty cell. Rows
// that bold picks stand in bold.
func (b *book) sheet(name string, cols []xcol, rows [][]any, bold func(row int) bool) {
	if b.err != nil {
		return
	}
	f := b.file
	// The sheet that a new workbook has is the first. To take it away afterwards, or
	// to say which is shown, would have all that was written read again.
	if b.sheets++; b.sheets == 1 {
		b.note(f.SetSheetName(f.GetSheetName(0), name))
	} else if _, err := f.NewSheet(name); err != nil {
		b.note(err)
		return
	}
	landscape, wide, tall := "landscape", 1, 0
	b.note(f.SetPageLayout(name, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &wide, FitToHeight: &tall}))
	fit := true
	b.note(f.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}))
	b.note(f.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L&A&R&P / &N"}))
	sw, err := f.NewStreamWriter(name)
	if err != nil {
		b.note(err)
		return
	}
	for i, c := range cols {
		b.note(sw.SetColWidth(i+1, i+1, c.width))
	}
	b.note(sw.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	head := b.look(look{heavy: true, wrap: true})
	cells := make([]any, len(cols))
	for i, c := range cols {
		cells[i] = excelize.Cell{StyleID: head, Value: c.head}
	}
	b.note(sw.SetRow("A1", cells, excelize.RowOpts{Height: 45}))
	for r, row := range rows {
		heavy := bold != nil && bold(r)
		for i := range row { // a row may end early
			cells[i] = b.cell(cols[i], row[i], heavy)
		}
		at, err := excelize.CoordinatesToCellName(1, r+2)
		b.note(err)
		b.note(sw.SetRow(at, cells[:len(row)]))
	}
	b.note(sw.Flush())
	b.note(f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: "'" + name + "'!$1:$1", Scope: name}))
}

func (b *book) cell(c xcol, value any, heavy bool) excelize.Cell {
	format, wrap := c.format, false
	switch v := value.(type) {
	case Number:
		if !v.finite() {
			return excelize.Cell{}
		}
		value = noMinus(float64(v), format)
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return excelize.Cell{}
		}
		value = noMinus(v, format)
	case Day:
		if v == (Day{}) {
			return excelize.Cell{}
		}
		// A workbook counts days; noon keeps rounding off the date line.
		value, format = civil.Date(v).In(time.UTC), dateFormat
	case bool:
		value, format = "no", ""
		if v {
			value = "yes"
		}
	case Names:
		text, _ := v.MarshalCSV()
		value, format = text, ""
	case string:
		format, wrap = "", c.width > 60
	}
	return excelize.Cell{StyleID: b.look(look{format, heavy, wrap}), Value: value}
}

// noMinus is a number that does not show as -0.00 in its format.
func noMinus(v float64, format string) float64 {
	_, decimals, _ := strings.Cut(format, ".")
	if v < 0 && !strings.Contains(format, "E") && -v < 0.5*math.Pow10(-len(decimals)) {
		return 0
	}
	return v
}

// WriteXLSX writes the workbook. Volumes are in all units of the trade, depths in
// those of s.
func (p *Season) WriteXLSX(w io.Writer, s units.System) error {
	b := &book{file: excelize.NewFile(), styles: map[look]int{}}
	defer b.file.Close()
	p.wellSheet(b, s)
	p.fieldSheet(b, s)
	p.dailySheet(b, s)
	p.noteSheet(b, s)
	if b.err == nil {
		b.note(b.file.SetDocProps(&excelize.DocProperties{Title: p.Farm + ": water books", Creator: "sandwick"}))
	}
	if b.err != nil {
		return b.err
	}
	return b.file.Write(w)
}

func (p *Season) moneyHead(what string) string { return what + " (" + p.Currency + ")" }

// waterCols are withdrawal, what it rests on and what it took.
func (p *Season) waterCols(s units.System) []xcol {
	var cols []xcol
	decimals := map[string]string{"gal": "#,##0", "mgal": "#,##0.000000", "acft": "#,##0.0000", "acin": "#,##0.000", "m3": "#,##0.00", "ml": "#,##0.00000"}
	for _, u := range units.Volumes {
		cols = append(cols, xcol{"withdrawn (" + u.Name + ")", decimals[u.Suffix], 13})
	}
	return append(cols,
		xcol{"rests on", "", 22}, xcol{"of it estimated, no meter (m3)", "#,##0.00", 13}, xcol{"estimated (%)", "0.0", 10},
		xcol{"by meter (m3)", "#,##0.00", 12}, xcol{"hours x flow (m3)", "#,##0.00", 12}, xcol{"meter off hours x flow (%)", "0.0", 12}, xcol{"drift", "", 7},
		xcol{"pumped (h)", "#,##0.00", 10}, xcol{"dry (h)", "#,##0.00", 10}, xcol{"of hours, end by timer (h)", "#,##0.00", 10},
		xcol{"energy, estimated (kWh)", "#,##0.0", 11}, xcol{p.moneyHead("energy"), "#,##0.00", 10}, xcol{p.moneyHead("fuel"), "#,##0.00", 10},
		xcol{p.moneyHead("labour"), "#,##0.00", 10}, xcol{p.moneyHead("cost"), "#,##0.00", 10}, xcol{"nitrogen brought (kg)", "#,##0.00", 10},
		xcol{"nitrogen brought, farm's unit (" + units.Mass.Unit(s) + ")", "#,##0.0", 11}, xcol{"estimated (names as in --csv)", "", 40})
}

// inFarm is a head for a withdrawal in the farm's unit.
func inFarm(what string, s units.System) xcol {
	return xcol{what + ", farm's unit (" + units.Withdrawal.Unit(s) + ")", "#,##0.000", 11}
}

func (w *SeasonWater) cells(s units.System) []any {
	var row []any
	for _, u := range units.Volumes {
		row = append(row, float64(w.M3)*u.PerM3)
	}
	share := math.NaN()
	if w.M3 > 0 {
		share = 100 * float64(w.EstimatedM3) / float64(w.M3)
	}
	return append(row, w.Basis, w.EstimatedM3, share, w.MeterM3, w.PassM3, w.ApartPct, w.Drift, w.PumpHours, w.DryHours,
		w.TimerHours, w.EnergyKWh, w.EnergyCost, w.FuelCost, w.LabourCost, w.Cost, w.NitrateKg, units.Mass.Value(s, float64(w.NitrateKg)), w.Estimated)
}

func (p *Season) wellSheet(b *book, s units.System) {
	cols := append([]xcol{{"well", "", 18}, {"month", "", 10}, {"from", dateFormat, 11}, {"to", dateFormat, 11}}, p.waterCols(s)...)
	cols = append(cols, xcol{"without a recorded pass (m3)", "#,##0.00", 12}, xcol{"on ground in no zone (m3)", "#,##0.00", 12},
		xcol{"highest day (m3)", "#,##0.00", 11}, xcol{"on", dateFormat, 11}, xcol{"highest 30 days (m3)", "#,##0.00", 11}, xcol{"to", dateFormat, 11},
		xcol{"season limit (m3)", "#,##0.00", 12}, xcol{"used (%)", "0.0", 9}, xcol{"season may end at, estimated (m3)", "#,##0", 13},
		inFarm("highest day", s), xcol{"of highest day estimated, no meter (m3)", "#,##0.00", 12}, inFarm("highest 30 days", s), xcol{"of 30 days estimated, no meter (m3)", "#,##0.00", 12},
		inFarm("season limit", s), inFarm("season may end at, estimated", s))
	var rows [][]any
	var whole []bool
	none := Number(math.NaN())
	tail := func(loose, bare Number) []any {
		return []any{loose, bare}
	}
	most := func(day, month *Peak, limit, used, ends Number) []any {
		farm := func(v Number) float64 { return units.Withdrawal.Value(s, float64(v)) }
		return []any{day.M3, day.From, month.M3, month.To, limit, used, ends, farm(day.M3), day.EstimatedM3, farm(month.M3), month.EstimatedM3, farm(limit), farm(ends)}
	}
	for i := range p.Wells {
		w := &p.Wells[i]
		for m := range w.Months {
			x := &w.Months[m]
			from, to := p.monthDays(m)
			rows = append(rows, append(append([]any{w.Well, x.Month, from, to}, x.cells(s)...), tail(x.LooseM3, x.BareM3)...))
			whole = append(whole, false)
		}
		rows = append(rows, slices.Concat([]any{w.Well, "season", p.From, p.To}, w.Season.cells(s), tail(w.LooseM3, w.BareM3),
			most(&w.PeakDay, &w.Peak30, w.LimitM3, w.UsedPct, w.Projection.MeanM3)))
		whole = append(whole, true)
	}
	t := &p.Total
	total := t.SeasonWater
	total.Estimated = t.water // the ground's stand with the fields
	rows = append(rows, slices.Concat([]any{"all wells", "season", p.From, p.To}, total.cells(s), tail(t.LooseM3, t.BareM3),
		most(&t.PeakDay, &t.Peak30, none, none, none)))
	whole = append(whole, true)
	b.sheet(sheetWells, cols, rows, func(r int) bool { return whole[r] })
}

// groundCols are the depths of a field, in the units of s.
func (p *Season) groundCols(s units.System) []xcol {
	d := "(" + units.Depth.Unit(s) + ")"
	cols := []xcol{{"area (" + units.Area.Unit(s) + ")", "#,##0.00", 10}}
	for _, name := range []string{
		"withdrawn", "irrigation gross by hours x flow", "irrigation net", "spray loss", "rain", "effective rain TR-21", "ET", "ETc without stress", "upflux, estimated", "percolation", "net from below",
		"runoff", "probe corrections", "change of storage", "does not close by", "of ET: weather estimated", "of ET: no weather measured", "of rain: station, no gauge", "of rain: forecast",
	} {
		format := "#,##0.000"
		if name == "does not close by" {
			format = "0.0E+00"
		}
		cols = append(cols, xcol{name + " " + d, format, 11})
	}
	return append(cols, xcol{"stress (days)", "0.0", 9}, xcol{"rain not measured (days)", "0.0", 10}, xcol{"nitrogen lost, estimated (kg)", "#,##0.0", 11},
		xcol{"ground skipped (%)", "0.0", 10}, xcol{"water saved (m3)", "#,##0.0", 11}, xcol{"energy saved (kWh)", "#,##0.0", 11}, xcol{p.moneyHead("saved"), "#,##0.00", 11},
		inFarm("water saved", s), xcol{"nitrogen lost, estimated, farm's unit (" + units.Mass.Unit(s) + ")", "#,##0.0", 11})
}

func (g *SeasonGround) cells(s units.System) []any {
	row := []any{units.Area.Value(s, float64(g.AreaM2))}
	for _, mm := range []Number{
		g.WithdrawnMM, g.GrossMM, g.NetMM, g.SprayMM, g.RainMM, g.EffectiveMM, g.ETMM, g.ETcMM, g.UpfluxMM, g.PercolationMM, g.BelowMM,
		g.RunoffMM, g.CorrectionMM, g.StorageMM, g.ClosureMM, g.FilledETMM, g.CarriedETMM, g.StationRainMM, g.GuessedRainMM,
	} {
		row = append(row, units.Depth.Value(s, float64(mm)))
	}
	return append(row, g.StressDays, g.NoRainDays, g.LostKg, 100*float64(g.SkippedM2)/float64(g.ToursM2), g.SavedM3, g.SavedKWh, g.SavedCost,
		units.Withdrawal.Value(s, float64(g.SavedM3)), units.Mass.Value(s, float64(g.LostKg)))
}

func (p *Season) fieldSheet(b *book, s units.System) {
	cols := append([]xcol{{"field", "", 18}, {"zone", "", 18}, {"crop", "", 14}, {"month", "", 10}, {"from", dateFormat, 11}, {"to", dateFormat, 11}}, p.groundCols(s)...)
	cols = append(cols, p.waterCols(s)...)
	var rows [][]any
	var whole []bool
	add := func(field, zone, crop, month string, from, to Day, l *Land, heavy bool) {
		row := append([]any{field, zone, crop, month, from, to}, l.SeasonGround.cells(s)...)
		rows = append(rows, append(row, l.SeasonWater.cells(s)...))
		whole = append(whole, heavy)
	}
	for i := range p.Fields {
		f := &p.Fields[i]
		for m := range f.Months {
			from, to := p.monthDays(m)
			add(f.Field, "", f.Crop, f.Months[m].Month, from, to, &f.Months[m].Land, false)
		}
		for z := range f.Zones {
			add(f.Field, f.Zones[z].Zone, f.Crop, "season", p.From, p.To, &f.Zones[z].Land, false)
		}
		add(f.Field, "", f.Crop, "season", p.From, p.To, &f.Season, true)
	}
	add("all fields; water of all wells", "", "", "season", p.From, p.To, &p.Total.Land, true)
	b.sheet(sheetFields, cols, rows, func(r int) bool { return whole[r] })
}

// dailySheet has the columns that mean something on a single day.
func (p *Season) dailySheet(b *book, s units.System) {
	d := "(" + units.Depth.Unit(s) + ")"
	cols := []xcol{{"date", dateFormat, 11}, {"kind", "", 8}, {"name", "", 18},
		{"withdrawn (gal)", "#,##0", 13}, {"withdrawn (acre-in)", "#,##0.000", 11}, {"withdrawn (m3)", "#,##0.00", 11}, {"rests on", "", 22},
		{"of it estimated, no meter (m3)", "#,##0.00", 12}, {"pumped (h)", "0.00", 9}, {"energy, estimated (kWh)", "#,##0.0", 11}, {p.moneyHead("cost"), "#,##0.00", 10}, {"estimated (names as in --csv)", "", 40}}
	for _, name := range []string{"irrigation gross", "irrigation net", "rain", "ET", "ETc without stress", "upflux, estimated", "percolation", "runoff",
		"probe corrections", "change of storage", "of ET: weather estimated"} {
		cols = append(cols, xcol{name + " " + d, "0.000", 11})
	}
	cols = append(cols, xcol{"stress (share of ground)", "0.00", 9})
	water := func(date Day, kind, name string, w *SeasonWater) []any {
		m3 := float64(w.M3)
		row := []any{date, kind, name}
		for _, u := range units.Volumes {
			if u.Suffix == "gal" || u.Suffix == "acin" || u.Suffix == "m3" {
				row = append(row, m3*u.PerM3)
			}
		}
		return append(row, w.Basis, w.EstimatedM3, w.PumpHours, w.EnergyKWh, w.Cost, w.Estimated)
	}
	rows := make([][]any, 0, len(p.Daily)+len(p.DailyLand))
	for i := range p.Daily {
		x := &p.Daily[i]
		rows = append(rows, water(x.Date, "well", x.Well, &x.SeasonWater))
	}
	for i := range p.DailyLand {
		x := &p.DailyLand[i]
		row := water(x.Date, "field", x.Field, &x.SeasonWater)
		g := &x.SeasonGround
		for _, mm := range []Number{g.GrossMM, g.NetMM, g.RainMM, g.ETMM, g.ETcMM, g.UpfluxMM, g.PercolationMM, g.RunoffMM, g.CorrectionMM, g.StorageMM, g.FilledETMM} {
			row = append(row, units.Depth.Value(s, float64(mm)))
		}
		rows = append(rows, append(row, g.StressDays))
	}
	b.sheet(sheetDaily, cols, rows, nil)
}

// estimatedText follows a figure in a sentence.
func estimatedText(estimated bool) string {
	if estimated {
		return " (estimated)"
	}
	return ""
}

func (p *Season) noteSheet(b *book, s units.System) {
	cols := []xcol{{"subject", "", 26}, {"of", "", 22}, {"value", "#,##0.0####", 14}, {"unit", "", 10}, {"note", "", 110}}
	var rows [][]any
	none := Number(math.NaN())
	text := func(subject string, lines []string) {
		for _, line := range lines {
			rows = append(rows, []any{subject, "", none, "", line})
		}
	}
	text("books", []string{fmt.Sprintf("%s, %v to %v", p.Farm, civil.Date(p.From), civil.Date(p.To))})
	text("what this is not", p.Notice)
	for _, e := range p.Estimated {
		rows = append(rows, []any{"estimated: " + e.What, e.Where, e.SharePct, "%", e.Why(s)})
	}
	text("take note", Texts(p.Warnings, s))
	for _, m := range p.Machines {
		rows = append(rows, []any{"real flow", m.Pivot, units.PreciseFlow.Value(s, float64(m.FlowM3H)), units.PreciseFlow.Unit(s),
			fmt.Sprintf("standard error %s; by farm.toml, with its end gun, %s; from %d intervals", units.PreciseFlow.Text(s, float64(m.ErrorM3H)), units.PreciseFlow.Text(s, float64(m.StatedM3H)), m.Intervals)})
	}
	for i := range p.Wells {
		for _, v := range p.Wells[i].Intervals {
			used := "used"
			if !v.Used {
				used = "not used: " + v.Fault
			}
			rows = append(rows, []any{"meter interval", p.Wells[i].Well, v.MeterM3, "m3",
				fmt.Sprintf("%v to %v, %s; hours x flow %.2f m3", civil.Date(v.From), civil.Date(v.To), used, float64(v.PassM3))})
		}
	}
	for _, c := range p.Cuts {
		rows = append(rows, []any{"oil by cut", c.Field, units.Mass.Value(s, float64(c.OilKg)), units.Mass.Unit(s),
			fmt.Sprintf("%v: %.1f barrels, %s, %s of water%s, %s of energy%s", civil.Date(c.Date), float64(c.Barrels), units.Yield.Text(s, float64(c.OilKgPerM2)),
				units.PerWater.Text(s, float64(c.OilKgPerM3)), estimatedText(c.Estimated.has("oil_kg_per_m3")),
				units.PerEnergy.Text(s, float64(c.OilPerKWh)), estimatedText(c.Estimated.has("oil_kg_per_kwh")))})
	}
	for _, x := range p.Seasons {
		rows = append(rows, []any{"season", civil.Date(x.From).String(), x.Whole.M3, "m3",
			fmt.Sprintf("to %v%s; through %v %.2f m3%s; pumped %.1f h%s; energy %.0f kWh%s", civil.Date(x.To), estimatedText(x.Whole.Estimated.has("withdrawn_m3")),
				civil.Date(x.Through), float64(x.ToDate.M3), estimatedText(x.ToDate.Estimated.has("withdrawn_m3")),
				float64(x.Whole.PumpHours), estimatedText(x.Whole.Estimated.has("pump_hours")), float64(x.Whole.EnergyKWh), estimatedText(x.Whole.Estimated.has("energy_kwh")))})
	}
	text("method", Texts(p.Methods, s))
	b.sheet(sheetNotes, cols, rows, nil)
}
