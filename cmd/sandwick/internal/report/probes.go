// Probe readings beside the books.

package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"

	"github.com/golang-sql/civil"
)

// Probes is what `sandwick balance --probes` answers. Its JSON names are promised.
type Probes struct {
	Farm     string     `json:"farm"`
	Zones    []ProbeSum `json:"zones"`
	Readings []Probe    `json:"readings"`
	Warnings []Note     `json:"warnings"`

	from, to civil.Date
	merging  bool
	errors   [3]float64 // of a reading, of the books, their drift
}

// ProbeSum is how the books stand to the readings of one zone and kind: books
// less reading, in the unit of the kind (water and available in percent,
// suction in kPa) and as volumetric content in percent.
type ProbeSum struct {
	Field       string `json:"field"`
	Zone        string `json:"zone"`
	Kind        string `json:"kind"` // "water", "available" or "suction"
	N           int    `json:"n"`
	Bias        Number `json:"bias"`
	RMSE        Number `json:"rmse"`
	ContentBias Number `json:"content_bias_pct"`
	ContentRMSE Number `json:"content_rmse_pct"`
	Merged      bool   `json:"merged"` // into the books
}

// Probe is one reading beside the books of the same morning.
type Probe struct {
	Date         Day    `json:"date" csv:"date"`
	Field        string `json:"field" csv:"field"`
	Zone         string `json:"zone" csv:"zone"`
	TopM         Number `json:"top_m" csv:"top_m"`
	BottomM      Number `json:"bottom_m" csv:"bottom_m"`
	Kind         string `json:"kind" csv:"kind"`
	Read         Number `json:"reading" csv:"reading"` // percent, or kPa
	Books        Number `json:"books" csv:"books"`
	ReadPct      Number `json:"content_pct" csv:"content_pct"` // as volumetric content
	BooksPct     Number `json:"books_content_pct" csv:"books_content_pct"`
	ComparedM    Number `json:"compared_to_m" csv:"compared_to_m"` // the books end there
	Merged       bool   `json:"merged" csv:"merged"`
	Gain         Number `json:"gain" csv:"gain"`
	CorrectionMM Number `json:"correction_mm" csv:"correction_mm"`
	NotBecause   string `json:"not_compared" csv:"not_compared"` // empty: compared
}

// NewProbes puts the readings of some days into the form in which they are
// written; field "" is all.
func NewProbes(season *fields.Season, o BalanceOptions) *Probes {
	f := season.Farm
	var checks []fields.ProbeCheck
	for _, c := range season.Probes() {
		if !c.Date.Before(o.From) && !c.Date.After(o.To) && (o.Field == "" || f.Zones[c.ZoneIndex].Field == o.Field) {
			checks = append(checks, c)
		}
	}
	p := &Probes{
		Farm: f.Name, Zones: []ProbeSum{}, Readings: []Probe{}, from: o.From, to: o.To,
		Warnings: DoubtNotes(slices.Concat(season.Doubts, f.Doubts)),
		errors:   [3]float64{f.Settings.Probes.Error, f.Settings.Probes.ModelError, f.Settings.Probes.ModelDrift},
	}
	for _, s := range fields.SumProbes(checks) {
		z := &f.Zones[s.Zone]
		p.merging = p.merging || z.MergeProbes
		p.Zones = append(p.Zones, ProbeSum{
			Field: z.Field, Zone: z.Name, Kind: s.Kind.String(), N: s.N,
			Bias: probeNumber(s.Kind, s.Bias), RMSE: probeNumber(s.Kind, s.RMSE),
			ContentBias: Number(100 * s.ContentBias), ContentRMSE: Number(100 * s.ContentRMSE), Merged: z.MergeProbes,
		})
	}
	for i := range checks {
		c := &checks[i]
		p.Readings = append(p.Readings, Probe{
			Date: Day(c.Date), Field: f.Zones[c.ZoneIndex].Field, Zone: c.Zone, TopM: Number(c.TopM), BottomM: Number(c.BottomM),
			Kind: c.Kind.String(), Read: probeNumber(c.Kind, c.Read), Books: probeNumber(c.Kind, c.Model),
			ReadPct: Number(100 * c.ReadContent), BooksPct: Number(100 * c.ModelContent), ComparedM: Number(c.ToM),
			Merged: c.Merged, Gain: Number(c.Gain), CorrectionMM: Number(c.CorrectMM), NotBecause: skipText(c.Skip),
		})
	}
	return p
}

// probeNumber is a number of a kind as it is written: fractions in percent.
func probeNumber(k fields.ProbeKind, v float64) Number {
	if k == fields.ProbeSuction {
		return Number(v)
	}
	return Number(100 * v)
}

func skipText(s fields.ProbeSkip) string {
	switch s {
	case fields.ProbeTooEarly:
		return "before the books begin"
	case fields.ProbeTooDeep:
		return "most of its depth lies below the ground that the books hold"
	case fields.ProbeNoCurve:
		return "the soil's curve has no such suction"
	}
	return ""
}

// kindText is a kind with its unit.
func kindText(kind string) string {
	switch kind {
	case fields.ProbeWater.String():
		return "content, %"
	case fields.ProbeAvailable.String():
		return "available, %"
	}
	return "suction, kPa"
}

// WriteText prints the sums first, then the readings.
func (p *Probes) WriteText(w io.Writer, s units.System) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: probe readings beside the books, %s to %s\n", p.Farm, dayYearText(p.from), dayYearText(p.to))
	if len(p.Readings) == 0 {
		b.WriteString("\nNo readings in these days: records/probes.csv takes them.\n")
	}
	one := func(n Number) string { return units.Number(float64(n), 1) }
	if len(p.Zones) > 0 {
		b.WriteString("\nBOOKS LESS READINGS\n")
		t := table.New(table.Words("zone"), table.Words("kind"), table.Numbers("n", ""), table.Numbers("bias", ""), table.Numbers("RMSE", ""),
			table.Numbers("bias", "% vol"), table.Numbers("RMSE", "% vol"), table.Words("readings are"))
		t.Indent = 2
		for _, z := range p.Zones {
			use := "compared"
			if z.Merged {
				use = "merged: the books stand before each"
			}
			t.Row(z.Zone, kindText(z.Kind), fmt.Sprint(z.N), one(z.Bias), one(z.RMSE), one(z.ContentBias), one(z.ContentRMSE), use)
		}
		b.WriteString(t.String())
	}
	if len(p.Readings) > 0 {
		b.WriteString("\nREADINGS\n")
		columns := []table.Column{table.Words("date"), table.Words("zone"), table.Numbers("from", units.Ground.Unit(s)), table.Numbers("to", units.Ground.Unit(s)),
			table.Words("kind"), table.Numbers("read", ""), table.Numbers("books", ""), table.Numbers("read", "% vol"), table.Numbers("books", "% vol")}
		if p.merging {
			columns = append(columns, table.Numbers("gain", ""), table.Numbers("entered", units.Depth.Unit(s)))
		}
		t := table.New(append(columns, table.Words(""))...)
		t.Indent = 2
		for _, r := range p.Readings {
			row := []string{dayText(civil.Date(r.Date)), r.Zone, units.Ground.Format(s, float64(r.TopM)), units.Ground.Format(s, float64(r.BottomM)),
				kindText(r.Kind), one(r.Read), one(r.Books), one(r.ReadPct), one(r.BooksPct)}
			if p.merging {
				entered := "-"
				if r.Merged {
					entered = units.Depth.Format(s, float64(r.CorrectionMM))
				}
				row = append(row, units.Coefficient.Format(s, float64(r.Gain)), entered)
			}
			t.Row(append(row, r.NotBecause)...)
		}
		b.WriteString(t.String())
	}
	b.WriteByte('\n')
	b.WriteString(table.Paragraph("", "A reading counts for the morning of its day and is held against the mean of its zone over its own depths. "+
		"Available is of what drained ground holds: over a near water table it may be well over 100 %. No reading changes the books "+
		"unless its zone says \"probes\": \"merge\" in zones.geojson."))
	if p.merging {
		b.WriteString(table.Paragraph("", fmt.Sprintf("Merged by standard errors of %s %% of volume of a reading and %s %% of the books, which gain %s %% a day between readings ([probes] in farm.toml sets them).",
			units.Number(100*p.errors[0], 1), units.Number(100*p.errors[1], 1), units.Number(100*p.errors[2], 1))))
	}
	writeList(&b, "Take note", Texts(p.Warnings, s))
	_, err := io.WriteString(w, b.String())
	return err
}
