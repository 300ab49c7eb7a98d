// Reference evapotranspiration, day by day.

package report

import (
	"fmt"
	"io"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et"

	"github.com/golang-sql/civil"
)

// ET is what `sandwick et` answers. Its JSON names are promised.
type ET struct {
	Farm     string  `json:"farm"`
	Method   string  `json:"method"`
	Symbol   string  `json:"symbol"` // of the reference: ETo for clipped grass, ETr for alfalfa
	Rows     []ETRow `json:"rows"`
	Warnings []Note  `json:"warnings"`
}

// ETRow is one day.
type ETRow struct {
	Date   Day    `json:"date" csv:"date"`
	EToMM  Number `json:"eto_mm" csv:"eto_mm"`
	TmaxC  Number `json:"tmax_c" csv:"tmax_c"`
	TminC  Number `json:"tmin_c" csv:"tmin_c"`
	EaKPa  Number `json:"ea_kpa" csv:"ea_kpa"`
	EsKPa  Number `json:"es_kpa" csv:"es_kpa"`
	U2MS   Number `json:"u2_ms" csv:"u2_ms"`
	RaMJ   Number `json:"ra_mj" csv:"ra_mj"`
	RsMJ   Number `json:"rs_mj" csv:"rs_mj"`
	RnMJ   Number `json:"rn_mj" csv:"rn_mj"`
	RainMM Number `json:"rain_mm" csv:"rain_mm"`
	Filled Names  `json:"filled" csv:"filled"`
	// Humidity is the measurement that ea rests on: "dew point", "psychrometer",
	// "highest and lowest relative humidity", "highest relative humidity", "mean
	// relative humidity", "lowest temperature" (estimated) or "none".
	Humidity string `json:"humidity" csv:"humidity"`
}

// NewET puts the days into the form in which they are written.
func NewET(farm, method, symbol string, days []et.Reference, warnings []Note) *ET {
	out := &ET{Farm: farm, Method: method, Symbol: symbol, Rows: []ETRow{}, Warnings: orEmpty(warnings)}
	for _, d := range days {
		out.Rows = append(out.Rows, ETRow{
			Date: Day(d.Date), EToMM: Number(d.EToMM), TmaxC: Number(d.TmaxC), TminC: Number(d.TminC),
			EaKPa: Number(d.EaKPa), EsKPa: Number(d.EsKPa), U2MS: Number(d.U2MPerS),
			RaMJ: Number(d.RaMJ), RsMJ: Number(d.RsMJ), RnMJ: Number(d.RnMJ), RainMM: Number(d.RainMM),
			Filled: Names(d.Filled.Names()), Humidity: d.Humidity.String(),
		})
	}
	return out
}

// WriteText prints the last days of the table, all of them when last is 0, and
// the sum over all rows.
func (e *ET) WriteText(w io.Writer, s units.System, last int) error {
	var b strings.Builder
	shown := e.Rows
	if last > 0 && len(shown) > last {
		shown = shown[len(shown)-last:]
	}
	fmt.Fprintf(&b, "%s: reference evapotranspiration, %s\n\n", e.Farm, e.Method)
	t := table.New(table.Words("date"), table.Numbers(e.Symbol, units.Depth.Unit(s)),
		table.Numbers("Tmax", units.Temperature.Unit(s)), table.Numbers("Tmin", units.Temperature.Unit(s)),
		table.Numbers("ea", units.Pressure.Unit(s)), table.Numbers("es", units.Pressure.Unit(s)),
		table.Numbers("wind 2 m", units.Wind.Unit(s)), table.Numbers("solar", units.Radiation.Unit(s)),
		table.Numbers("net", units.Radiation.Unit(s)), table.Numbers("rain", units.Depth.Unit(s)), table.Words("estimated"))
	for _, r := range shown {
		t.Row(dayText(civil.Date(r.Date)), units.Depth.Format(s, float64(r.EToMM)),
			units.Temperature.Format(s, float64(r.TmaxC)), units.Temperature.Format(s, float64(r.TminC)),
			units.Pressure.Format(s, float64(r.EaKPa)), units.Pressure.Format(s, float64(r.EsKPa)),
			units.Wind.Format(s, float64(r.U2MS)), units.Radiation.Format(s, float64(r.RsMJ)),
			units.Radiation.Format(s, float64(r.RnMJ)), units.Depth.Format(s, float64(r.RainMM)),
			strings.Join(r.Filled, ", "))
	}
	b.WriteString(t.String())
	b.WriteByte('\n')
	b.WriteString(table.Paragraph("", e.sumText(s)))
	if text := e.humidityText(); text != "" {
		b.WriteString(table.Paragraph("", text))
	}
	if len(shown) < len(e.Rows) {
		b.WriteString(table.Paragraph("", fmt.Sprintf("The last %s shown; --from and --to show others.", count(len(shown), "day", "days"))))
	}
	writeList(&b, "Take note", Texts(e.Warnings, s))
	_, err := io.WriteString(w, b.String())
	return err
}

// humidityText says what the vapour pressure rests on where FAO-56 chapter 3
// calls it less accurate than a dew point, a psychrometer or both extremes of
// relative humidity; "" where nowhere.
func (e *ET) humidityText() string {
	parts := []string{}
	for h := et.HumidityRHMax; h <= et.HumidityTmin; h++ {
		n := 0
		for _, r := range e.Rows {
			if r.Humidity == h.String() {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("the %s on %s", h, count(n, "day", "days")))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "Humidity rests on " + strings.Join(parts, ", ") + ": less accurate than a dew point, a psychrometer or both extremes of relative humidity (FAO-56 chapter 3)."
}

// sumText adds up all rows and says on how many days something was estimated.
func (e *ET) sumText(s units.System) string {
	if len(e.Rows) == 0 {
		return "No weather in these days."
	}
	eto, rain := 0.0, 0.0
	known, estimated := 0, 0
	for _, r := range e.Rows {
		if r.EToMM.finite() {
			eto += float64(r.EToMM)
			known++
		}
		if r.RainMM.finite() {
			rain += float64(r.RainMM)
		}
		if len(r.Filled) > 0 {
			estimated++
		}
	}
	first, final := civil.Date(e.Rows[0].Date), civil.Date(e.Rows[len(e.Rows)-1].Date)
	text := fmt.Sprintf("%s to %s, %s: %s %s, rain %s.", dayText(first), dayYearText(final),
		count(len(e.Rows), "day", "days"), e.Symbol, units.Depth.Text(s, eto), units.Depth.Text(s, rain))
	if known < len(e.Rows) {
		text += fmt.Sprintf(" %s is missing on %s.", e.Symbol, count(len(e.Rows)-known, "day", "days"))
	}
	if estimated > 0 {
		text += fmt.Sprintf(" Something was estimated on %s.", count(estimated, "day", "days"))
	}
	return text
}
