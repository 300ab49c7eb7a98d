// What must be known before anything else: weather that ended days ago, and
// ground that was seen otherwise than the books have it.

package report

import (
	"fmt"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/fields"
)

// oldWeather is from how many days back the end of the weather is told first of all.
const oldWeather = 3

// weatherAlert is empty while the weather is fresh.
func weatherAlert(season *fields.Season) string {
	through := season.WeatherThrough
	if !through.IsValid() {
		return "NO WEATHER MEASURED since the season began: the ground may stand otherwise than told here"
	}
	if ago := season.Today.DaysSince(through); ago >= oldWeather {
		return fmt.Sprintf("WEATHER ENDS %d DAYS AGO, %s: the ground may stand otherwise than told here", ago, dayText(through))
	}
	return ""
}

// inBooks is how the books have ground that was seen otherwise.
var inBooks = map[string]string{"wilted": "unstressed", "green": "wilted", "wet": "drained"}

// seenText says that a zone was seen otherwise than the books have it; distrust
// is what not to trust for it.
func seenText(season *fields.Season, c *fields.Contradiction, distrust string) string {
	return fmt.Sprintf("%s was seen %s on %s: the model has it %s; do not trust %s; see `sandwick soils --from-seen`",
		season.Farm.Zones[c.Zone].Name, c.What, dayText(c.Date), inBooks[c.What], distrust)
}

// alerts are the lines above everything else; distrust says of a zone what not
// to trust where it was seen otherwise.
func alerts(season *fields.Season, seen []fields.Contradiction, distrust func(zone string) string) []string {
	lines := []string{}
	if text := weatherAlert(season); text != "" {
		lines = append(lines, text)
	}
	for i := range seen {
		lines = append(lines, seenText(season, &seen[i], distrust(season.Farm.Zones[seen[i].Zone].Name)))
	}
	return lines
}

// doubt puts what was seen into a plan: zones that are left alone though they
// were seen wilted are at risk.
func (p *Plan) doubt(season *fields.Season) {
	seen := season.Contradicted()
	decision := map[string]string{}
	for i := range p.Zones {
		z := &p.Zones[i]
		decision[z.Zone] = z.Decision
		for k := range seen {
			if c := &seen[k]; season.Farm.Zones[c.Zone].Name == z.Zone && c.What == "wilted" && z.Decision == "skip" {
				z.Risk = true
				z.Why.seen = "seen wilted on " + dayText(c.Date)
			}
		}
	}
	p.Alerts = alerts(season, seen, func(zone string) string {
		switch decision[zone] {
		case "skip", "wait":
			return "this " + decision[zone] + ", nor the plan's cost, which goes by the model"
		case "water":
			return "the depth of this water, nor the plan's cost, which goes by the model"
		}
		return "its days left"
	})
}

// SeenNotes tell what was seen otherwise than the books have it, where a cost
// rests on the books.
func SeenNotes(season *fields.Season) []Note {
	notes := []Note{}
	for _, c := range season.Contradicted() {
		notes = append(notes, Plain(seenText(season, &c, "what is judged here on its ground: it goes by the model")))
	}
	return notes
}

func writeAlerts(b *strings.Builder, lines []string) {
	for _, line := range lines {
		b.WriteString(table.Paragraph("! ", line+"."))
	}
	if len(lines) > 0 {
		b.WriteByte('\n')
	}
}
