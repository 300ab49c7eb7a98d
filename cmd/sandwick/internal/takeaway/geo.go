// The plan as a map.

package takeaway

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"
)

// Zone is the outline of a zone on the map.
type Zone struct {
	Name, Soil string
	Area       orb.MultiPolygon
}

// chordM is how far a sector's edge may leave the true one, m.
const chordM = 0.5

// WriteMap writes an RFC 7946 FeatureCollection in WGS 84: every leg of the plan
// as the sector it waters or walks, and every zone with its state. Properties are
// in SI under the names of the plan's JSON; what is not known is null.
func WriteMap(w io.Writer, p *report.Plan, machines []*pivot.Machine, zones []Zone) error {
	fc := geojson.NewFeatureCollection()
	for i := range zones {
		z := &zones[i]
		f := geojson.NewFeature(rightHanded(z.Area))
		f.Properties = geojson.Properties{"kind": "zone", "zone": z.Name, "soil": z.Soil}
		for k := range p.Zones {
			if d := &p.Zones[k]; d.Zone == z.Name {
				f.Properties["field"], f.Properties["pivot"] = d.Field, d.Pivot
				f.Properties["decision"] = d.Decision
				f.Properties["depletion_mm"], f.Properties["trigger_mm"] = known(d.DepletionMM), known(d.TriggerMM)
				f.Properties["water_table_m"] = known(d.TableM)
				f.Properties["days_left_min"], f.Properties["days_left_max"] = known(d.DaysLeftMin), known(d.DaysLeftMax)
				f.Properties["why"] = d.Why.Text(units.SI)
			}
		}
		fc.Append(f)
	}
	for i := range p.Passes {
		pass := &p.Passes[i]
		m := machine(machines, pass.Pivot)
		if m == nil {
			return fmt.Errorf("the plan runs %q, which is no machine of the farm", pass.Pivot)
		}
		for k := range pass.Legs {
			l := &pass.Legs[k]
			arc := pivot.Swept(pivot.Azimuth(l.FromDeg), pivot.Azimuth(l.ToDeg), pass.Direction != "ccw")
			f := geojson.NewFeature(m.Outline(arc, chordM))
			f.Properties = geojson.Properties{
				"kind": "leg", "pivot": pass.Pivot, "well": pass.Well, "pass": i + 1, "leg": k + 1, "direction": pass.Direction,
				"from_deg": known(l.FromDeg), "to_deg": known(l.ToDeg), "water": l.Water, "timer_pct": known(l.TimerPct),
				"gross_mm": known(l.GrossMM), "net_mm": known(l.NetMM), "volume_m3": known(l.VolumeM3),
				"start": time.Time(l.Start).Format(time.RFC3339), "end": time.Time(l.End).Format(time.RFC3339),
				"why": l.Why.Text(units.SI),
			}
			fc.Append(f)
		}
	}
	b, err := json.MarshalIndent(fc, "", " ")
	if err != nil {
		return fmt.Errorf("writing the map: %w", err)
	}
	if _, err := w.Write(append(b, '\n')); err != nil {
		return fmt.Errorf("writing the map: %w", err)
	}
	return nil
}

func machine(list []*pivot.Machine, name string) *pivot.Machine {
	for _, m := range list {
		if m.Name == name {
			return m
		}
	}
	return nil
}

// known is a number, or nil where it is missing or has no end.
func known(n report.Number) any {
	if v := float64(n); !math.IsNaN(v) && !math.IsInf(v, 0) {
		return v
	}
	return nil
}

// rightHanded turns rings as RFC 7946, 3.1.6 wants them: outer ones
// anticlockwise, holes clockwise. One polygon stays one polygon.
func rightHanded(mp orb.MultiPolygon) orb.Geometry {
	out := make(orb.MultiPolygon, len(mp))
	for i, p := range mp {
		q := p.Clone()
		for k, ring := range q {
			want := orb.CCW
			if k > 0 {
				want = orb.CW
			}
			if ring.Orientation() != want {
				ring.Reverse()
			}
		}
		out[i] = q
	}
	if len(out) == 1 {
		return out[0]
	}
	return out
}
