// What each soil holds and how far water rises in it.

package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/soilwater/hydraulics"
)

// Soils is what `sandwick soils` answers. Its JSON names are promised.
type Soils struct {
	Farm     string `json:"farm"`
	Soils    []Soil `json:"soils"`
	Warnings []Note `json:"warnings"`
}

// Soil is one kind of ground.
type Soil struct {
	Name            string    `json:"soil"`
	ReachM          Number    `json:"reach_m"`
	ReachFrom       string    `json:"reach_from"` // "farm.toml" or "parameter set"
	ReachPlusMinusM Number    `json:"reach_plus_minus_m"`
	Horizons        []Horizon `json:"horizons"`
	Full            []Full    `json:"full"`
	Flux            []Flux    `json:"flux"`
}

// Horizon is a stretch of one parameter set. Contents are percent of the ground's
// volume, as in farm.toml.
type Horizon struct {
	TopM            Number `json:"top_m"`
	BottomM         Number `json:"bottom_m"` // null: as deep as roots go
	Hydraulics      string `json:"hydraulics"`
	Source          string `json:"source"`
	Verified        string `json:"verified"`
	Saturated       Number `json:"saturated_pct"`
	Drained         Number `json:"field_capacity_pct"`
	Wilting         Number `json:"wilting_point_pct"`
	AvailableMMPerM Number `json:"available_mm_per_m"`
	OwnReachM       Number `json:"own_reach_m"` // of the parameter set
	AlphaPerM       Number `json:"alpha_per_m"` // as scaled to the reach
	N               Number `json:"n"`
	KsMPerDay       Number `json:"ks_m_per_day"`
}

// Full is what a root zone holds when full over a water table.
type Full struct {
	Soil        string `json:"-" csv:"soil"`
	RootM       Number `json:"root_depth_m" csv:"root_depth_m"`
	Crops       Names  `json:"crops" csv:"crops"`
	TableM      Number `json:"water_table_m" csv:"water_table_m"` // null: out of reach
	FullMM      Number `json:"full_mm" csv:"full_mm"`
	AvailableMM Number `json:"available_mm" csv:"available_mm"`
	FluxMM      Number `json:"flux_mm_per_day" csv:"flux_mm_per_day"` // the most that rises to the foot of the roots; null where the table stands in them, and where it is ample
	Ample       bool   `json:"ample" csv:"ample"`                     // beyond anything a crop or the air asks for
}

// Flux is the steady flux over a distance from the water table.
type Flux struct {
	DistanceM Number `json:"distance_m"`
	MMPerDay  Number `json:"flux_mm_per_day"` // null where it is ample
	Ample     bool   `json:"ample"`           // beyond anything a crop or the air asks for
}

// NewSoils puts the facts of a farm's soils into the form in which they are written.
func NewSoils(f *fields.Farm, facts []fields.SoilFacts) *Soils {
	out := &Soils{Farm: f.Name, Soils: []Soil{}, Warnings: DoubtNotes(f.Doubts)}
	for i := range facts {
		x := &facts[i]
		s := Soil{
			Name: f.Soils[x.Soil].Name, ReachM: Number(x.ReachM), ReachFrom: "parameter set",
			ReachPlusMinusM: Number(x.ReachPlusMinusM), Full: []Full{}, Flux: []Flux{},
		}
		if x.ReachSet {
			s.ReachFrom = "farm.toml"
		}
		for _, h := range x.Horizons {
			s.Horizons = append(s.Horizons, Horizon{
				Number(h.TopM), Number(h.BottomM), h.Set, h.Source, h.Verified,
				Number(100 * h.Saturated), Number(100 * h.Drained), Number(100 * h.Wilting), Number(h.AvailableMMPerM),
				Number(h.OwnReachM), Number(h.AlphaPerM), Number(h.N), Number(h.KsMPerDay),
			})
		}
		for _, r := range x.Roots {
			for _, o := range r.Over {
				flux, ample := Number(o.FluxMM), false
				if !math.IsInf(o.FluxMM, 1) { // in the roots
					flux, ample = orAmple(o.FluxMM)
				}
				s.Full = append(s.Full, Full{
					s.Name, Number(r.RootM), Names(r.Crops), Number(o.TableM), Number(o.FullMM), Number(o.AvailableMM), flux, ample,
				})
			}
		}
		for _, q := range x.Flux {
			flux, ample := orAmple(q.MMPerDay)
			s.Flux = append(s.Flux, Flux{Number(q.DistanceM), flux, ample})
		}
		out.Soils = append(out.Soils, s)
	}
	return out
}

// FullRows are the rows for CSV.
func (p *Soils) FullRows() []Full {
	rows := []Full{}
	for i := range p.Soils {
		rows = append(rows, p.Soils[i].Full...)
	}
	return rows
}

// WriteText prints every soil: what it holds, then how far water rises.
func (p *Soils) WriteText(w io.Writer, s units.System) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: soils\n", p.Farm)
	for i := range p.Soils {
		p.Soils[i].write(&b, s)
	}
	b.WriteByte('\n')
	b.WriteString(table.Paragraph("", "Full is the wetter, at every height, of what drained ground holds and what the water table holds up; "+
		"available is what of it is above the wilting point. The flux is the most that rises where the upper end is dry, in the long run; "+
		"ample is over "+units.Depth.Text(s, ampleMM)+" a day. The reach is the distance over which it is "+units.Depth.Text(s, hydraulics.ReachMMPerDay)+" a day."))
	writeList(&b, "Take note", Texts(p.Warnings, s))
	_, err := io.WriteString(w, b.String())
	return err
}

func (o *Soil) write(b *strings.Builder, s units.System) {
	fmt.Fprintf(b, "\n%s\n", o.Name)
	t := table.New(table.Words("horizon"), table.Numbers("saturated", "%"), table.Numbers("drained", "%"), table.Numbers("wilting", "%"),
		table.Numbers("available", units.PerDepth.Unit(s)), table.Words("hydraulics: source (how far checked)"))
	t.Indent = 2
	for _, h := range o.Horizons {
		t.Row(h.rangeText(s), percent(h.Saturated), percent(h.Drained), percent(h.Wilting),
			units.PerDepth.Format(s, float64(h.AvailableMMPerM)), fmt.Sprintf("%s: %s (%s)", h.Hydraulics, h.Source, h.Verified))
	}
	b.WriteString(t.String())
	deepest := o.Horizons[len(o.Horizons)-1]
	from := "as farm.toml sets it; the parameter set's own is " + units.Ground.Text(s, float64(deepest.OwnReachM))
	if o.ReachFrom != "farm.toml" {
		from = "the parameter set's own, as farm.toml sets none: look where the crop stays green over a known water table, and set reach"
	}
	b.WriteString(table.Paragraph("  Reach ", fmt.Sprintf("%s, give or take %s: %s.",
		units.Ground.Text(s, float64(o.ReachM)), units.Ground.Text(s, float64(o.ReachPlusMinusM)), from)))

	t = table.New(table.Words("roots"), table.Numbers("table", units.Ground.Unit(s)), table.Numbers("full", units.Depth.Unit(s)),
		table.Numbers("available", units.Depth.Unit(s)), table.Column{Name: "rises", Unit: units.Flux.Unit(s), Right: true})
	t.Indent = 2
	last := Number(math.NaN())
	for _, f := range o.Full {
		roots := ""
		if f.RootM != last {
			roots = fmt.Sprintf("%s (%s)", units.Ground.Text(s, float64(f.RootM)), strings.Join(f.Crops, ", "))
			last = f.RootM
		}
		depth, rises := "deep", fluxText(s, f.FluxMM, f.Ample)
		if !math.IsInf(float64(f.TableM), 1) {
			depth = units.Ground.Format(s, float64(f.TableM))
		}
		if math.IsInf(float64(f.FluxMM), 1) {
			rises = "in roots"
		}
		t.Row(roots, depth, units.Depth.Format(s, float64(f.FullMM)), units.Depth.Format(s, float64(f.AvailableMM)), rises)
	}
	b.WriteString(t.String())

	t = table.New(table.Numbers("distance", units.Ground.Unit(s)), table.Column{Name: "flux", Unit: units.Flux.Unit(s), Right: true})
	t.Indent = 2
	for _, q := range o.Flux {
		t.Row(units.Ground.Format(s, float64(q.DistanceM)), fluxText(s, q.MMPerDay, q.Ample))
	}
	b.WriteString(t.String())
}

func (h *Horizon) rangeText(s units.System) string {
	if math.IsInf(float64(h.BottomM), 1) {
		if h.TopM == 0 {
			return "all"
		}
		return "below " + units.Ground.Text(s, float64(h.TopM))
	}
	return units.Ground.Format(s, float64(h.TopM)) + " to " + units.Ground.Text(s, float64(h.BottomM))
}

// ampleMM is a flux beyond anything a crop or the air asks for, mm/day: how much
// more it is means nothing.
const ampleMM = 50

// orAmple is a flux, or none where it is ample.
func orAmple(mm float64) (flux Number, ample bool) {
	if mm > ampleMM {
		return Number(math.NaN()), true
	}
	return Number(mm), false
}

func fluxText(s units.System, n Number, ample bool) string {
	if ample {
		return "ample"
	}
	return units.Flux.Format(s, float64(n))
}

func percent(n Number) string { return units.Number(float64(n), 1) }
