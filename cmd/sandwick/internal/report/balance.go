// The soil-water books, day by day, by zone or by cell.

package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/fields/books"

	"github.com/golang-sql/civil"
)

// Balance is what `sandwick balance` answers. Its JSON names are promised.
type Balance struct {
	Farm     string         `json:"farm"`
	From     Day            `json:"from"`
	To       Day            `json:"to"`
	Mode     string         `json:"mode"` // "dual" or "single" crop coefficient
	Rows     []BalanceRow   `json:"rows"`
	Totals   []BalanceTotal `json:"totals"`     // by zone, over the rows
	WorstMM  Number         `json:"closure_mm"` // largest error of any day's account of any cell
	Warnings []Note         `json:"warnings"`
}

// BalanceRow is one zone, or one cell, on one day.
type BalanceRow struct {
	Account
	*Cell // nil for a zone
}

// Account is one day of some ground.
type Account struct {
	Date          Day    `json:"date" csv:"date"`
	Field         string `json:"field" csv:"field"`
	Zone          string `json:"zone" csv:"zone"`
	Pivot         string `json:"pivot" csv:"pivot"`
	EToMM         Number `json:"eto_mm" csv:"eto_mm"`
	Kc            Number `json:"kc" csv:"kc"`   // crop coefficient, without stress: Kcb + Ke, or in single mode Kc itself
	Kcb           Number `json:"kcb" csv:"kcb"` // basal; none in single mode
	Ke            Number `json:"ke" csv:"ke"`   // of evaporation; none in single mode
	Ks            Number `json:"ks" csv:"ks"`
	ETcMM         Number `json:"etc_mm" csv:"etc_mm"` // unstressed
	ETMM          Number `json:"et_mm" csv:"et_mm"`   // actual
	RainMM        Number `json:"rain_mm" csv:"rain_mm"`
	RunoffMM      Number `json:"runoff_mm" csv:"runoff_mm"`
	GrossMM       Number `json:"irrigation_gross_mm" csv:"irrigation_gross_mm"`
	NetMM         Number `json:"irrigation_net_mm" csv:"irrigation_net_mm"`
	UpfluxMM      Number `json:"upflux_mm" csv:"upflux_mm"`
	PercolationMM Number `json:"percolation_mm" csv:"percolation_mm"`
	CorrectionMM  Number `json:"correction_mm" csv:"correction_mm"` // entered from probe readings
	StorageMM     Number `json:"storage_mm" csv:"storage_mm"`       // water in the whole column
	DepletionMM   Number `json:"depletion_mm" csv:"depletion_mm"`
	TAWMM         Number `json:"taw_mm" csv:"taw_mm"`
	RAWMM         Number `json:"raw_mm" csv:"raw_mm"`
	TriggerMM     Number `json:"trigger_mm" csv:"trigger_mm"`
	RootM         Number `json:"root_depth_m" csv:"root_depth_m"`
	TableM        Number `json:"water_table_m" csv:"water_table_m"`
	ClosureMM     Number `json:"closure_mm" csv:"closure_mm"`
	Filled        Names  `json:"filled" csv:"filled"` // inputs of the day that were estimated
}

// Cell is where a cell lies.
type Cell struct {
	FromDeg Number `json:"slice_from_deg" csv:"slice_from_deg"`
	ToDeg   Number `json:"slice_to_deg" csv:"slice_to_deg"`
	AreaM2  Number `json:"area_m2" csv:"area_m2"`
}

// BalanceTotal is the sum of one zone's rows.
type BalanceTotal struct {
	Field         string `json:"field"`
	Zone          string `json:"zone"`
	Pivot         string `json:"pivot"`
	RainMM        Number `json:"rain_mm"`
	NetMM         Number `json:"irrigation_net_mm"`
	UpfluxMM      Number `json:"upflux_mm"`
	ETMM          Number `json:"et_mm"`
	ETcMM         Number `json:"etc_mm"`
	RunoffMM      Number `json:"runoff_mm"`
	PercolationMM Number `json:"percolation_mm"`
	CorrectionMM  Number `json:"correction_mm"`
	StorageMM     Number `json:"storage_change_mm"`
	StressDays    int    `json:"stress_days"`    // by books.Stressed, as `season` counts them
	AerationDays  int    `json:"aeration_days"`  // on which the water table stood in the roots' ground
	EstimatedDays int    `json:"estimated_days"` // on which something of the weather was estimated
	DepletionMM   Number `json:"depletion_mm"`   // at the end
	TriggerMM     Number `json:"trigger_mm"`     // at the end
}

// BalanceOptions choose what of a season goes into a Balance.
type BalanceOptions struct {
	From, To civil.Date // first and last day; both within the season
	Field    string     // only this field; empty: all
	Cells    bool       // rows by cell; the season must have kept them
}

// NewBalance puts a season's books into the form in which they are written.
func NewBalance(season *fields.Season, o BalanceOptions) *Balance {
	f := season.Farm
	b := &Balance{
		Farm: f.Name, From: Day(o.From), To: Day(o.To),
		Mode: "dual", Rows: []BalanceRow{}, Totals: []BalanceTotal{},
	}
	if f.Start.Single {
		b.Mode = "single"
	}
	first, last := o.From.DaysSince(season.From), o.To.DaysSince(season.From)
	for zone := range f.Zones {
		if o.Field != "" && f.Zones[zone].Field != o.Field {
			continue
		}
		b.addTotal(season, zone, first, last)
		if !o.Cells {
			for day := first; day <= last; day++ {
				b.Rows = append(b.Rows, zoneRow(season, day, zone))
			}
			continue
		}
		from, to := f.ZoneCells(zone)
		for cell := from; cell < to; cell++ {
			for day := first; day <= last; day++ {
				b.Rows = append(b.Rows, cellRow(season, day, zone, cell))
			}
		}
	}
	b.Warnings = orEmpty(slices.Concat(b.aerationNotes(), DoubtNotes(season.Doubts), DoubtNotes(f.Doubts)))
	return b
}

// aerationNotes warn of zones whose roots the water table stood in.
func (b *Balance) aerationNotes() []Note {
	notes := []Note{}
	for _, t := range b.Totals {
		if t.AerationDays > 0 {
			notes = append(notes, Plain(fmt.Sprintf("%s: on %s the water table stood in the root zone; roots stop short of it and may lack air",
				t.Zone, count(t.AerationDays, "day", "days"))))
		}
	}
	return notes
}

// ground is the part of a row that names its ground.
func ground(f *fields.Farm, zone int) (field, name, pivot string) {
	if p := f.ZonePivot(zone); p >= 0 {
		pivot = f.Pivots[p].Name
	}
	return f.Zones[zone].Field, f.Zones[zone].Name, pivot
}

func zoneRow(season *fields.Season, day, zone int) BalanceRow {
	a := season.Account(day, zone)
	r := Account{
		Date: Day(a.Date), EToMM: Number(a.EToMM), Ks: Number(a.Ks),
		ETcMM: Number(a.ETcMM), ETMM: Number(a.ETMM), RainMM: Number(a.RainMM), RunoffMM: Number(a.RunoffMM),
		GrossMM: Number(a.GrossMM), NetMM: Number(a.NetMM), UpfluxMM: Number(a.UpfluxMM), PercolationMM: Number(a.PercMM),
		CorrectionMM: Number(a.CorrectMM), StorageMM: Number(a.StorageMM), DepletionMM: Number(a.DepletMM),
		TAWMM: Number(a.TAWMM), RAWMM: Number(a.RAWMM), TriggerMM: Number(a.TriggerMM), RootM: Number(a.RootM),
		TableM: Number(a.TableM), ClosureMM: Number(a.ClosureMM), Filled: Names(a.Filled.Names()),
	}
	r.coefficients(season.Farm, a.Kcb, a.Ke)
	r.Field, r.Zone, r.Pivot = ground(season.Farm, zone)
	return BalanceRow{Account: r}
}

// coefficients sets those of the farm's mode: in single mode the books keep Kc in
// the place of Kcb.
func (a *Account) coefficients(f *fields.Farm, kcb, ke float64) {
	a.Kc, a.Kcb, a.Ke = Number(kcb+ke), Number(kcb), Number(ke)
	if f.Start.Single {
		a.Kc, a.Kcb, a.Ke = Number(kcb), Number(math.NaN()), Number(math.NaN())
	}
}

func cellRow(season *fields.Season, day, zone, cell int) BalanceRow {
	f := season.Farm
	c := season.Cell(day, cell)
	r := zoneRow(season, day, zone) // what the cells of a zone share
	r.coefficients(f, season.Account(day, zone).Kcb, c.Ke)
	r.Ks = Number(c.Ks)
	r.ETcMM, r.ETMM = Number(c.ETcMM), Number(c.ETMM)
	r.RainMM, r.RunoffMM = Number(c.RainMM), Number(c.RunoffMM)
	r.GrossMM, r.NetMM = Number(c.GrossMM), Number(c.NetMM)
	r.UpfluxMM, r.PercolationMM = Number(c.UpfluxMM), Number(c.PercolationMM)
	r.CorrectionMM, r.StorageMM = Number(c.CorrectMM), Number(c.StorageMM)
	r.DepletionMM, r.TAWMM, r.RAWMM = Number(c.DepletionMM), Number(c.TAWMM), Number(c.RAWMM)
	r.TriggerMM = Number(f.Trigger(f.ZoneField(zone), c.TAWMM, c.RAWMM))
	r.ClosureMM = Number(c.ClosureMM)
	ground := f.Cells()[cell]
	r.Cell = &Cell{FromDeg: Number(math.NaN()), ToDeg: Number(math.NaN()), AreaM2: Number(ground.AreaM2)}
	if ground.Slice != fields.NoSlice {
		r.FromDeg = Number(float64(ground.Slice) * f.SliceDeg)
		r.ToDeg = Number(float64(ground.Slice+1) * f.SliceDeg)
	}
	return r
}

// addTotal sums one zone from its first to its last day.
func (b *Balance) addTotal(season *fields.Season, zone, first, last int) {
	t := BalanceTotal{}
	t.Field, t.Zone, t.Pivot = ground(season.Farm, zone)
	before := season.StartMM[zone]
	if first > 0 {
		before = season.Account(first-1, zone).StorageMM
	}
	for day := first; day <= last; day++ {
		a := season.Account(day, zone)
		t.RainMM += Number(a.RainMM)
		t.NetMM += Number(a.NetMM)
		t.UpfluxMM += Number(a.UpfluxMM)
		t.ETMM += Number(a.ETMM)
		t.ETcMM += Number(a.ETcMM)
		t.RunoffMM += Number(a.RunoffMM)
		t.PercolationMM += Number(a.PercMM)
		t.CorrectionMM += Number(a.CorrectMM)
		if books.Stressed(a) {
			t.StressDays++
		}
		if a.AerationM2 > 0 {
			t.AerationDays++
		}
		if a.Filled != 0 {
			t.EstimatedDays++
		}
		if math.Abs(a.ClosureMM) > math.Abs(float64(b.WorstMM)) {
			b.WorstMM = Number(a.ClosureMM)
		}
	}
	end := season.Account(last, zone)
	t.StorageMM = Number(end.StorageMM - before)
	t.DepletionMM, t.TriggerMM = Number(end.DepletMM), Number(end.TriggerMM)
	b.Totals = append(b.Totals, t)
}

// WriteText prints the sums by zone and then the last days, all of them when
// last is 0.
func (b *Balance) WriteText(w io.Writer, s units.System, last int) error {
	var out strings.Builder
	fmt.Fprintf(&out, "%s: soil water, %s to %s\n\n", b.Farm, dayYearText(civil.Date(b.From)), dayYearText(civil.Date(b.To)))
	depth := units.Depth.Unit(s)
	columns := []table.Column{table.Words("zone"), table.Numbers("rain", depth), table.Numbers("net", depth),
		table.Numbers("upflux", depth), table.Numbers("ET", depth), table.Numbers("percolation", depth),
		table.Numbers("runoff", depth), table.Numbers("storage", depth), table.Numbers("ETc", depth),
		table.Numbers("stress", "days"), table.Numbers("depletion", depth), table.Numbers("trigger", depth)}
	if b.corrected() {
		columns = slices.Insert(columns, 4, table.Numbers("probes", depth))
	}
	t := table.New(columns...)
	for _, z := range b.Totals {
		row := []string{z.Zone + estimatedMark(z.EstimatedDays > 0), depths(s, z.RainMM), depths(s, z.NetMM), depths(s, z.UpfluxMM), depths(s, z.ETMM),
			depths(s, z.PercolationMM), depths(s, z.RunoffMM), depths(s, z.StorageMM), depths(s, z.ETcMM),
			fmt.Sprint(z.StressDays), depths(s, z.DepletionMM), depths(s, z.TriggerMM)}
		if b.corrected() {
			row = slices.Insert(row, 4, depths(s, z.CorrectionMM))
		}
		t.Row(row...)
	}
	out.WriteString(t.String())
	out.WriteString(b.dailyText(s, last))
	if text := b.estimatedText(); text != "" {
		out.WriteByte('\n')
		out.WriteString(table.Paragraph(estimated+" ", text))
	}
	out.WriteByte('\n')
	out.WriteString(table.Paragraph("", b.closingText()))
	writeList(&out, "Take note", Texts(b.Warnings, s))
	_, err := io.WriteString(w, out.String())
	return err
}

// estimated marks a day, or a sum of days, that rests on estimated weather.
const estimated = "*"

func estimatedMark(yes bool) string {
	if yes {
		return estimated
	}
	return ""
}

// estimatedText is the footnote to the marks: how many days they stand for.
func (b *Balance) estimatedText() string {
	most := 0 // zones of one station share their days, but rain has its own gauges
	for _, z := range b.Totals {
		most = max(most, z.EstimatedDays)
	}
	if most == 0 {
		return ""
	}
	all := civil.Date(b.To).DaysSince(civil.Date(b.From)) + 1
	return fmt.Sprintf("weather partly estimated, on %d of %s; `sandwick et` says which part", most, count(all, "day", "days"))
}

func depths(s units.System, n Number) string { return units.Depth.Format(s, float64(n)) }

// dailyText is the table of days, zone by zone.
func (b *Balance) dailyText(s units.System, last int) string {
	var out strings.Builder
	depth := units.Depth.Unit(s)
	first := civil.Date(b.From)
	if last > 0 {
		if d := civil.Date(b.To).AddDays(1 - last); d.After(first) {
			first = d
		}
	}
	for start := 0; start < len(b.Rows); {
		end := start
		for end < len(b.Rows) && sameGround(&b.Rows[start], &b.Rows[end]) {
			end++
		}
		columns := []table.Column{table.Words("date"), table.Numbers("ETo", depth), table.Numbers("Kcb", ""), table.Numbers("Ke", "")}
		if b.Mode == "single" {
			columns = append(columns[:2], table.Numbers("Kc", ""))
		}
		t := table.New(append(columns,
			table.Numbers("Ks", ""), table.Numbers("ET", depth), table.Numbers("rain", depth), table.Numbers("net", depth),
			table.Numbers("upflux", depth), table.Numbers("percolation", depth), table.Numbers("depletion", depth),
			table.Numbers("trigger", depth), table.Numbers("TAW", depth))...)
		t.Indent = 2
		for i := range b.Rows[start:end] {
			r := &b.Rows[start+i]
			if civil.Date(r.Date).Before(first) {
				continue
			}
			row := []string{dayText(civil.Date(r.Date)) + estimatedMark(len(r.Filled) > 0), depths(s, r.EToMM), coefficient(r.Kcb), coefficient(r.Ke)}
			if b.Mode == "single" {
				row = append(row[:2], coefficient(r.Kc))
			}
			t.Row(append(row, coefficient(r.Ks),
				depths(s, r.ETMM), depths(s, r.RainMM), depths(s, r.NetMM), depths(s, r.UpfluxMM), depths(s, r.PercolationMM),
				depths(s, r.DepletionMM), depths(s, r.TriggerMM), depths(s, r.TAWMM))...)
		}
		if t.Len() > 0 {
			fmt.Fprintf(&out, "\n%s\n%s", b.Rows[end-1].groundText(s), t)
		}
		start = end
	}
	if b.Mode == "single" && len(b.Rows) > 0 {
		out.WriteString("\n" + table.Paragraph("", "Kc: single crop coefficient, evaporation in it. Kc ini and bare ground go by how often and how deep rain and irrigation wetted the field on the days of the stage that are known, at least ten (FAO-56 Annex 7), unless farm.toml sets kc_ini or kc_bare."))
	}
	if first.After(civil.Date(b.From)) {
		fmt.Fprintf(&out, "\nThe last %s shown; --from and --to show others.\n", count(last, "day", "days"))
	}
	return out.String()
}

func coefficient(n Number) string { return units.Coefficient.Format(units.SI, float64(n)) }

func sameGround(a, b *BalanceRow) bool {
	if a.Zone != b.Zone || a.Pivot != b.Pivot || a.Field != b.Field || (a.Cell == nil) != (b.Cell == nil) {
		return false
	}
	return a.Cell == nil || a.Cell.FromDeg == b.Cell.FromDeg
}

// groundText heads a zone's or a cell's days.
func (r *BalanceRow) groundText(s units.System) string {
	text := r.Zone + " (" + r.Field
	if r.Pivot != "" {
		text += ", " + r.Pivot
	}
	text += ")"
	if r.Cell != nil {
		text += fmt.Sprintf(", %s to %s degrees, %s", degText(float64(r.FromDeg)), degText(float64(r.ToDeg)),
			units.Area.Text(s, float64(r.AreaM2)))
	}
	if !math.IsInf(float64(r.TableM), 1) && r.TableM.finite() {
		text += ", water table at " + units.Ground.Text(s, float64(r.TableM))
	}
	return text
}

// closingText says how the books close.
func (b *Balance) closingText() string {
	most := math.Max(math.Abs(float64(b.WorstMM)), fields.MaxClosureMM)
	in := "rain + net + upflux"
	if b.corrected() {
		in += " + probes"
	}
	return fmt.Sprintf("%s = ET + percolation + runoff + change of storage: the books close, "+
		"no cell is out by more than %.0e mm on any day.", in, most)
}

// corrected tells whether probe readings were merged into any of the rows.
func (b *Balance) corrected() bool {
	return slices.ContainsFunc(b.Rows, func(r BalanceRow) bool { return r.CorrectionMM != 0 })
}

// CSVRows are the rows for CSV: those of cells have three columns more.
func (b *Balance) CSVRows() any {
	if len(b.Rows) > 0 && b.Rows[0].Cell != nil {
		return b.Rows
	}
	rows := make([]Account, len(b.Rows))
	for i := range b.Rows {
		rows[i] = b.Rows[i].Account
	}
	return rows
}
