// Reach and water table from what the grower saw.

package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"

	"github.com/golang-sql/civil"
)

// Seen is what `sandwick soils --from-seen` answers. Its JSON names are promised.
type Seen struct {
	Farm     string     `json:"farm"`
	Through  Day        `json:"through"` // last day of the books
	Zones    []SeenZone `json:"zones"`
	Soils    []SeenSoil `json:"soils"`
	Terms    []string   `json:"terms"` // what wilted, green and wet mean to the books
	Warnings []Note     `json:"warnings"`

	farm  *fields.Farm
	zones []fields.SeenZone
}

// SeenZone is a zone that was seen.
type SeenZone struct {
	Zone      string     `json:"zone"`
	Soil      string     `json:"soil"`
	Sightings []Sighting `json:"sightings"`
	ReachesM  []Number   `json:"reaches_m"`
	OffsetsM  []Number   `json:"water_table_by_m"` // deeper by; negative is higher
	Agree     [][]bool   `json:"agree"`            // [reach][offset]: with every sighting that tells anything
}

// Sighting is one thing seen.
type Sighting struct {
	Date  Day    `json:"date"`
	Seen  string `json:"seen"`
	Tells string `json:"tells"` // "yes", or why it tells nothing
	AsSet bool   `json:"agrees_as_set"`
	Share Number `json:"share"` // of the zone that wilts as the farm is set; for wet, share of saturation at the surface
	Agree int    `json:"agree"` // combinations that agree
	Of    int    `json:"of"`
}

// SeenSoil is what the sightings on a soil ask for.
type SeenSoil struct {
	Soil      string      `json:"soil"`
	Tells     int         `json:"tells"`    // sightings that tell anything
	Possible  bool        `json:"possible"` // some combination agrees with all
	AsSet     bool        `json:"agrees_as_set"`
	ReachM    Number      `json:"reach_m"` // proposed
	WasM      Number      `json:"reach_was_m"`
	LeastM    Number      `json:"reach_least_m"` // of those that agree at some depth of the table
	MostM     Number      `json:"reach_most_m"`
	Zones     []SeenTable `json:"zones"`
	TypeLines []string    `json:"type"` // what to type where; empty when nothing is to be changed
}

// SeenTable is what is proposed for the water table of one zone.
type SeenTable struct {
	Zone   string `json:"zone"`
	ByM    Number `json:"water_table_by_m"` // proposed: deeper by
	LeastM Number `json:"water_table_by_least_m"`
	MostM  Number `json:"water_table_by_most_m"`
	TableM Number `json:"water_table_m"` // proposed, on the date of the map
}

// NewSeen puts a calibration into the form in which it is written.
func NewSeen(season *fields.Season, c *fields.Calibration) *Seen {
	f := season.Farm
	out := &Seen{
		Farm: f.Name, Through: Day(season.Today.AddDays(-1)), Zones: []SeenZone{}, Soils: []SeenSoil{}, Terms: seenTerms(),
		Warnings: DoubtNotes(f.Doubts), farm: f, zones: c.Zones,
	}
	for i := range c.Zones {
		z := &c.Zones[i]
		x := SeenZone{
			Zone: f.Zones[z.Zone].Name, Soil: f.Soils[f.ZoneSoil(z.Zone)].Name, Sightings: []Sighting{},
			ReachesM: numbers(z.ReachesM), OffsetsM: numbers(z.OffsetsM), Agree: z.Agree,
		}
		for _, g := range z.Sightings {
			x.Sightings = append(x.Sightings, Sighting{
				Day(g.Date), g.What, tellsText(g.Skip), g.AsSet, Number(g.Share), g.Agree, len(z.ReachesM) * len(z.OffsetsM),
			})
		}
		out.Zones = append(out.Zones, x)
	}
	for i := range c.Proposals {
		out.Soils = append(out.Soils, newSeenSoil(f, c, &c.Proposals[i]))
	}
	return out
}

func newSeenSoil(f *fields.Farm, c *fields.Calibration, p *fields.Proposal) SeenSoil {
	s := SeenSoil{
		Soil: f.Soils[p.Soil].Name, Tells: p.Tells, Possible: p.Possible, AsSet: p.AsSet,
		ReachM: Number(math.NaN()), WasM: Number(p.WasM), LeastM: Number(math.NaN()), MostM: Number(math.NaN()),
		Zones: []SeenTable{}, TypeLines: []string{},
	}
	if !p.Possible {
		return s
	}
	s.ReachM, s.LeastM, s.MostM = Number(p.ReachM), Number(p.LeastM), Number(p.MostM)
	for k, i := range p.Zones {
		z := &f.Zones[c.Zones[i].Zone]
		s.Zones = append(s.Zones, SeenTable{
			z.Name, Number(p.OffsetsM[k]), Number(p.DepthFromM[k]), Number(p.DepthToM[k]), Number(max(0, z.TableM+p.OffsetsM[k])),
		})
	}
	unit := units.SI
	if f.US {
		unit = units.US
	}
	if p.ReachM != p.WasM {
		s.TypeLines = append(s.TypeLines, fmt.Sprintf("farm.toml, [[soils]] %q: reach_%s = %s",
			s.Soil, units.Ground.Unit(unit), units.Ground.Format(unit, p.ReachM)))
	}
	for _, z := range s.Zones {
		if z.ByM != 0 {
			s.TypeLines = append(s.TypeLines, fmt.Sprintf(`zones.geojson, zone %q: "water_table_%s": %s`,
				z.Zone, units.Ground.Unit(unit), units.Ground.Format(unit, float64(z.TableM))))
		}
	}
	return s
}

func numbers(list []float64) []Number {
	out := make([]Number, len(list))
	for i, v := range list {
		out[i] = Number(v)
	}
	return out
}

func tellsText(skip fields.SeenSkip) string {
	switch skip {
	case fields.SeenOutside:
		return "not within the books"
	case fields.SeenSoaked:
		return "wet after heavy rain, whatever lies below"
	}
	return "yes"
}

// seenTerms say what the books take the words to mean.
func seenTerms() []string {
	return []string{
		fmt.Sprintf("wilted: %.0f %% or more of the zone took up less than %.0f %% of what it wanted, in the mean of that day and the %d before",
			100*fields.WiltShare, 100*fields.WiltKs, fields.WiltDays-1),
		"green: that was so on no day from the season's start through that day",
		fmt.Sprintf("wet: the uppermost %.0f cm held %.0f %% of saturation or more, that day or the day before; after %.0f mm of rain in %d days it tells nothing",
			100*fields.WetM, 100*fields.WetShare, fields.SoakMM, fields.SoakDays),
		"these bounds are assumptions (common practice, no published source)",
	}
}

// GridRow is one combination as a row of CSV.
type GridRow struct {
	Zone    string `csv:"zone"`
	Soil    string `csv:"soil"`
	ReachM  Number `csv:"reach_m"`
	OffsetM Number `csv:"water_table_by_m"`
	TableM  Number `csv:"water_table_m"`
	Agrees  string `csv:"agrees"` // yes or no
}

// GridRows lists all combinations.
func (p *Seen) GridRows() []GridRow {
	rows := []GridRow{}
	for i := range p.Zones {
		z := &p.Zones[i]
		depth := p.farm.Zones[p.zones[i].Zone].TableM
		for r := range z.Agree {
			for o, ok := range z.Agree[r] {
				agrees := "no"
				if ok {
					agrees = "yes"
				}
				rows = append(rows, GridRow{z.Zone, z.Soil, z.ReachesM[r], z.OffsetsM[o], Number(max(0, depth+float64(z.OffsetsM[o]))), agrees})
			}
		}
	}
	return rows
}

// WriteText prints what to type first, then what it rests on.
func (p *Seen) WriteText(w io.Writer, s units.System) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: reach and water table from what was seen, through %s\n", p.Farm, dayYearText(civil.Date(p.Through)))
	if len(p.Zones) == 0 {
		b.WriteString("\nNothing was seen yet: records/seen.csv takes the date, the zone and wilted, green or wet.\n")
	}
	for i := range p.Soils {
		p.Soils[i].write(&b, s)
	}
	if len(p.Zones) > 0 {
		b.WriteString("\nWHAT WAS SEEN\n")
		t := table.New(table.Words("date"), table.Words("zone"), table.Words("seen"), table.Words("as set"), table.Words("agree"))
		t.Indent = 2
		for _, z := range p.Zones {
			for _, g := range z.Sightings {
				asSet, agree := "agrees", fmt.Sprintf("%d of %d combinations", g.Agree, g.Of)
				if !g.AsSet {
					asSet = "does not agree"
				}
				if g.Of == 1 {
					agree = "nothing to try: no water table"
				}
				if g.Tells != "yes" {
					asSet, agree = "-", g.Tells
				}
				t.Row(dayText(civil.Date(g.Date)), z.Zone, g.Seen, asSet, agree)
			}
		}
		b.WriteString(t.String())
	}
	for i := range p.Zones {
		p.Zones[i].writeGrid(&b, s)
	}
	writeList(&b, "What the words are taken to mean", p.Terms)
	writeList(&b, "Take note", Texts(p.Warnings, s))
	_, err := io.WriteString(w, b.String())
	return err
}

func (x *SeenSoil) write(b *strings.Builder, s units.System) {
	fmt.Fprintf(b, "\n%s\n", strings.ToUpper(x.Soil))
	ground := func(n Number) string { return units.Ground.Text(s, float64(n)) }
	switch {
	case x.Tells == 0:
		b.WriteString("  No sighting that tells anything.\n")
		return
	case !x.Possible:
		all := "the sighting"
		if x.Tells > 1 {
			all = fmt.Sprintf("all %d sightings", x.Tells)
		}
		b.WriteString(table.Paragraph("  ", fmt.Sprintf("No reach agrees with %s, whatever the depth of the water table. Look at the table below: a sighting, or the soil or the map of its zone, is not what it is taken for.", all)))
		return
	case x.AsSet:
		b.WriteString(table.Paragraph("  ", fmt.Sprintf("Nothing to change: a reach of %s and the water table as it is agree with %s.",
			ground(x.WasM), count(x.Tells, "sighting", "sightings"))))
	default:
		b.WriteString(table.Paragraph("  ", "To agree with "+count(x.Tells, "sighting", "sightings")+", with the least change for its plus-minus, type:"))
		for _, line := range x.TypeLines {
			b.WriteString("    " + line + "\n")
		}
	}
	b.WriteString(table.Paragraph("  ", fmt.Sprintf("Reaches from %s to %s agree at some depth of the water table.", ground(x.LeastM), ground(x.MostM))))
}

// writeGrid draws the combinations of one zone: + agrees.
func (z *SeenZone) writeGrid(b *strings.Builder, s units.System) {
	if len(z.OffsetsM) < 2 {
		return
	}
	fmt.Fprintf(b, "\n%s: + agrees with all that was seen\n", z.Zone)
	columns := []table.Column{table.Numbers("reach", units.Ground.Unit(s))}
	for _, o := range z.OffsetsM {
		name := units.Ground.Format(s, float64(o))
		if o > 0 {
			name = "+" + name
		}
		columns = append(columns, table.Column{Name: name, Right: true})
	}
	t := table.New(columns...)
	t.Indent = 2
	for r := range z.Agree {
		row := []string{units.Ground.Format(s, float64(z.ReachesM[r]))}
		for _, ok := range z.Agree[r] {
			mark := "."
			if ok {
				mark = "+"
			}
			row = append(row, mark)
		}
		t.Row(row...)
	}
	b.WriteString(t.String())
	fmt.Fprintf(b, "  across: water table deeper (+) or higher (-) than it is taken to be, %s\n", units.Ground.Unit(s))
}
