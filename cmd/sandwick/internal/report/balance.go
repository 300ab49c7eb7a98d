// The soil-water books, day by day, by zone or by cell.

package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

// Balance is what `sandwick balance` answers. Its JSON names are promised.
type Balance struct {
	Farm     string         `json:"farm"`
	From     Day            `json:"from"`
	To       Day            `json:"to"`
	Rows     []BalanceRow   `json:"rows"`
	Totals   []BalanceTotal `json:"totals"`     // by zone, over the rows
	WorstMM  Number         `json:"closure_mm"` // largest error of any day's account of any cell
	Warnings []string       `json:"warnings"`
}

// BalanceRow is one zone, or one cell, on one day.
type BalanceRow struct {
	Date          Day    `json:"date" csv:"date"`
	Field         string `json:"field" csv:"field"`
	Zone          string `json:"zone" csv:"zone"`
	Pivot         string `json:"pivot" csv:"pivot"`
	EToMM         Number `json:"eto_mm" csv:"eto_mm"`
	Kcb           Number `json:"kcb" csv:"kcb"`
	Ke            Number `json:"ke" csv:"ke"`
	Ks            Number `json:"ks" csv:"ks"`
	ETcMM         Number `json:"etc_mm" csv:"etc_mm"` // unstressed
	ETMM          Number `json:"et_mm" csv:"et_mm"`   // actual
	RainMM        Number `json:"rain_mm" csv:"rain_mm"`
	RunoffMM      Number `json:"runoff_mm" csv:"runoff_mm"`
	GrossMM       Number `json:"irrigation_gross_mm" csv:"irrigation_gross_mm"`
	NetMM         Number `json:"irrigation_net_mm" csv:"irrigation_net_mm"`
	UpfluxMM      Number `json:"upflux_mm" csv:"upflux_mm"`
	PercolationMM Number `json:"percolation_mm" csv:"percolation_mm"`
	CorrectionMM  Number `json:"correction_mm" csv:"correction_mm"` // entered from a probe reading
	StorageMM     Number `json:"storage_mm" csv:"storage_mm"`       // water in the whole column
	DepletionMM   Number `json:"depletion_mm" csv:"depletion_mm"`
	TAWMM         Number `json:"taw_mm" csv:"taw_mm"`
	RAWMM         Number `json:"raw_mm" csv:"raw_mm"`
	TriggerMM     Number `json:"trigger_mm" csv:"trigger_mm"`
	RootM         Number `json:"root_depth_m" csv:"root_depth_m"`
	TableM        Number `json:"water_table_m" csv:"water_table_m"`
	ClosureMM     Number `json:"closure_mm" csv:"closure_mm"`
	Filled        Names  `json:"filled" csv:"filled"` // inputs of the day that were estimated
	*Cell                // with --cells only
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
	StressDays    int    `json:"stress_days"` // Ks under 1 on average over the zone
	EstimatedDays int    `json:"estimated_days"`
	DepletionMM   Number `json:"depletion_mm"` // at the end
	TriggerMM     Number `json:"trigger_mm"`   // at the end
}

// WriteText prints the sums by zone and then the last days, all of them when
// last is 0.
func (b *Balance) WriteText(w io.Writer, s units.System, last int) error {
	var out strings.Builder
	fmt.Fprintf(&out, "%s: soil water, %s to %s\n\n", b.Farm, dayYearText(civil.Date(b.From)), dayYearText(civil.Date(b.To)))
	depth := units.Depth.Unit(s)
	t := table.New(table.Words("zone"), table.Words("field"), table.Numbers("rain", depth), table.Numbers("given", depth),
		table.Numbers("from below", depth), table.Numbers("used", depth), table.Numbers("could use", depth),
		table.Numbers("run off", depth), table.Numbers("drained", depth), table.Numbers("stress", "days"),
		table.Numbers("gone", depth), table.Numbers("trigger", depth))
	for _, z := range b.Totals {
		t.Row(z.Zone, z.Field, depths(s, z.RainMM), depths(s, z.NetMM), depths(s, z.UpfluxMM), depths(s, z.ETMM),
			depths(s, z.ETcMM), depths(s, z.RunoffMM), depths(s, z.PercolationMM), fmt.Sprint(z.StressDays),
			depths(s, z.DepletionMM), depths(s, z.TriggerMM))
	}
	out.WriteString(t.String())
	out.WriteString(b.dailyText(s, last))
	out.WriteByte('\n')
	out.WriteString(table.Paragraph("", b.closingText()))
	writeList(&out, "Take note", b.Warnings)
	_, err := io.WriteString(w, out.String())
	return err
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
	estimated := false
	for start := 0; start < len(b.Rows); {
		end := start
		for end < len(b.Rows) && sameGround(&b.Rows[start], &b.Rows[end]) {
			end++
		}
		t := table.New(table.Words("date"), table.Numbers("ETo", depth), table.Numbers("Kcb", ""), table.Numbers("Ke", ""),
			table.Numbers("Ks", ""), table.Numbers("used", depth), table.Numbers("rain", depth), table.Numbers("given", depth),
			table.Numbers("below", depth), table.Numbers("drained", depth), table.Numbers("gone", depth),
			table.Numbers("trigger", depth), table.Numbers("TAW", depth))
		t.Indent = 2
		for i := range b.Rows[start:end] {
			r := &b.Rows[start+i]
			if civil.Date(r.Date).Before(first) {
				continue
			}
			mark := ""
			if len(r.Filled) > 0 {
				mark, estimated = "*", true
			}
			t.Row(dayText(civil.Date(r.Date))+mark, depths(s, r.EToMM), coefficient(r.Kcb), coefficient(r.Ke), coefficient(r.Ks),
				depths(s, r.ETMM), depths(s, r.RainMM), depths(s, r.NetMM), depths(s, r.UpfluxMM), depths(s, r.PercolationMM),
				depths(s, r.DepletionMM), depths(s, r.TriggerMM), depths(s, r.TAWMM))
		}
		if t.Len() > 0 {
			fmt.Fprintf(&out, "\n%s\n%s", b.Rows[start].groundText(s), t)
		}
		start = end
	}
	if estimated {
		out.WriteString("\n* weather partly estimated; `sandwick et` says which part\n")
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

// closingText says how well the books close.
func (b *Balance) closingText() string {
	return fmt.Sprintf("The books close: on no day does what came in, less what went out, differ from the change of storage by more than %.0e mm.",
		math.Max(math.Abs(float64(b.WorstMM)), 1e-15))
}
