// Trips that are recorded and reach beyond now: under way, or entered ahead.

package report

import (
	"fmt"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/fields"
)

// Committed is a recorded trip that reaches beyond now: nothing of it is planned.
type Committed struct {
	Pivot     string  `json:"pivot"`
	Running   bool    `json:"running"` // under way; else entered ahead of its start
	Start     Instant `json:"start"`
	End       Instant `json:"end"`
	Direction string  `json:"direction"` // "cw" or "ccw"
	StartDeg  Number  `json:"start_deg"`
	StopDeg   Number  `json:"stop_deg"`
	Water     bool    `json:"water"` // some of what is left of it is wet
}

// NewCommitted lists the trips of all machines of a farm that reach beyond now,
// machine by machine, those that begin before end.
func NewCommitted(f *fields.Farm, now, end time.Time) []Committed {
	list := []Committed{}
	for p := range f.Pivots {
		for _, c := range f.Committed(p, now) {
			if c.Start.Before(end) {
				list = append(list, Committed{
					Pivot: f.Pivots[p].Name, Running: c.Begun, Start: Instant(c.Start.In(f.Location)), End: Instant(c.End.In(f.Location)),
					Direction: direction(c.Clockwise), StartDeg: Number(c.From.Norm()), StopDeg: Number(c.To.Norm()), Water: c.Water,
				})
			}
		}
	}
	return list
}

// Text is what the machine is doing, or is entered to do.
func (c *Committed) Text() string {
	dry := ""
	if !c.Water {
		dry = ", dry"
	}
	from, to := time.Time(c.Start), time.Time(c.End)
	if c.Running {
		return fmt.Sprintf("RUNNING until %s, stops at %s degrees%s", momentText(to), degText(float64(c.StopDeg)), dry)
	}
	return fmt.Sprintf("RECORDED AHEAD: %s to %s, %s to %s degrees %s%s; taken as settled", momentText(from), untilText(from, to),
		degText(float64(c.StartDeg)), degText(float64(c.StopDeg)), c.Direction, dry)
}

func writeCommitted(b *strings.Builder, list []Committed) {
	if len(list) == 0 {
		return
	}
	b.WriteByte('\n')
	for i := range list {
		b.WriteString(table.Paragraph(list[i].Pivot+": ", list[i].Text()))
	}
}
