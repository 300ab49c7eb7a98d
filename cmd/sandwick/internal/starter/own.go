// The starting farm moved to where somebody's own pivot stands.

package starter

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"sandwick/et"
	"sandwick/pivot"

	"github.com/golang-sql/civil"
	"github.com/paulmach/orb"
)

// Own is what a new farm is told of itself. Everything else stays as in the
// example.
type Own struct {
	Name, Timezone string
	SI             bool
	Center         orb.Point // of the pivot, longitude first
	LengthM        float64
	ElevationM     float64
	FlowM3H        float64 // 0: the example's, for the same depth on this circle
	HoursAtFull    float64 // 0: the example's, for the same speed of the outer end
}

// The example's own, which what is not said is made from.
const (
	exampleLatitude = 44.20
	exampleLengthM  = 1300 * footM
	exampleFlowM3H  = 800 * gpmM3H
	exampleHours    = 20
	footM           = 0.3048
	gpmM3H          = 60 * 231 * 16.387064e-6
)

// Circle finds the centre and the length of a pivot from the four corners of the
// square that its circle lies in, longitude first, in order around it: the circle
// that touches the nearest side from the middle of the corners.
func Circle(corners []orb.Point) (center orb.Point, lengthM float64, err error) {
	if len(corners) != 4 {
		return center, 0, fmt.Errorf("four corners are wanted (got %d)", len(corners))
	}
	for _, c := range corners {
		center[0] += c[0] / 4
		center[1] += c[1] / 4
	}
	plane := pivot.NewPlane(center)
	lengthM = math.Inf(1)
	turns := 0
	for i := range corners {
		a, b := plane.ToPlane(corners[i]), plane.ToPlane(corners[(i+1)%4])
		side := math.Hypot(b[0]-a[0], b[1]-a[1])
		area := a[0]*b[1] - b[0]*a[1] // twice that of the triangle with the centre
		if area > 0 {
			turns++
		}
		lengthM = min(lengthM, math.Abs(area)/side)
	}
	if turns != 0 && turns != 4 || !(lengthM > 1) {
		return center, 0, errors.New("the corners do not go round a field; give them in order around it")
	}
	return center, lengthM, nil
}

// Write writes the farm, moved, into dir, as the function of the package does.
func (o *Own) Write(dir string) (written []string, err error) {
	return write(dir, func(name string, text []byte) ([]byte, error) {
		switch name {
		case "farm.toml":
			return o.settings(text)
		case "zones.geojson":
			return o.zones()
		case "weather.csv":
			return o.weather(text)
		}
		if strings.HasPrefix(name, "records/") { // the example's are not this farm's
			head, _, _ := strings.Cut(string(text), "\n")
			return []byte(head + "\n"), nil
		}
		return text, nil
	})
}

// settings puts the farm's own values into the lines of the example's, each of
// which is there once.
func (o *Own) settings(text []byte) ([]byte, error) {
	length, elevation, flow, system := o.LengthM/footM, o.ElevationM/footM, o.flow()/gpmM3H, "us"
	keyLength, keyElevation, keyFlow := "length_ft", "elevation_ft", "flow_gpm"
	if o.SI {
		length, elevation, flow, system = o.LengthM, o.ElevationM, o.flow(), "si"
		keyLength, keyElevation, keyFlow = "length_m", "elevation_m", "flow_m3h"
	}
	whole := func(v float64) string { return strconv.FormatFloat(math.Round(v), 'f', 0, 64) }
	degrees := func(v float64) string { return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64) }
	hours := o.HoursAtFull
	if hours == 0 {
		hours = exampleHours * o.LengthM / exampleLengthM
	}
	for _, line := range []struct {
		key, line string
		times     int
	}{
		{"name = \"Example farm\"", "name = " + quote(o.Name), 1},
		{"timezone", "timezone = " + quote(o.Timezone), 1},
		{"units", "units = " + quote(system), 1},
		{"latitude_deg", "latitude_deg = " + degrees(o.Center[1]), 1},
		{"longitude_deg", "longitude_deg = " + degrees(o.Center[0]), 1},
		{"elevation_ft", keyElevation + " = " + whole(elevation), 1},
		{"center", fmt.Sprintf("center = [%s, %s]", degrees(o.Center[0]), degrees(o.Center[1])), 1},
		{"length_ft", keyLength + " = " + whole(length), 1},
		{"flow_gpm", keyFlow + " = " + whole(flow), 2}, // of the well and of the pivot
		{"hours_at_full_timer", "hours_at_full_timer = " + strconv.FormatFloat(math.Round(hours*10)/10, 'f', -1, 64), 1},
	} {
		at := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(line.key) + `( = ("[^"]*"|\[[^\]]*\]|[-0-9.]+))?`)
		if n := len(at.FindAll(text, -1)); n != line.times {
			return nil, fmt.Errorf("the example has %d lines of %s, not %d", n, line.key, line.times)
		}
		text = at.ReplaceAllLiteral(text, []byte(line.line))
	}
	return text, nil
}

// quote is a TOML basic string.
func quote(text string) string {
	b, _ := json.Marshal(text) // a string always marshals; TOML takes the same escapes
	return string(b)
}

func (o *Own) flow() float64 {
	if o.FlowM3H > 0 {
		return o.FlowM3H
	}
	return exampleFlowM3H * (o.LengthM / exampleLengthM) * (o.LengthM / exampleLengthM)
}

// zones is one zone, the whole circle, to be cut into those there are.
func (o *Own) zones() ([]byte, error) {
	const corners = 96
	plane := pivot.NewPlane(o.Center)
	r := 1.02 * o.LengthM // the circle cuts off what lies outside
	ring := []string{}
	for i := range corners + 1 {
		s, c := math.Sincos(2 * math.Pi * float64(i%corners) / corners)
		p := plane.ToLonLat(orb.Point{r * c, r * s})
		ring = append(ring, fmt.Sprintf("[%.7f, %.7f]", p[0], p[1]))
	}
	key := "water_table_ft"
	if o.SI {
		key = "water_table_m"
	}
	return fmt.Appendf(nil, `{
  "type": "FeatureCollection",
  "features": [
    {
      "type": "Feature",
      "properties": {
        "zone": "Whole circle",
        "field": "North mint",
        "soil": "High sand",
        %q: null
      },
      "geometry": {
        "type": "Polygon",
        "coordinates": [[
          %s
        ]]
      }
    }
  ]
}
`, key, strings.Join(ring, ", ")), nil
}

// weather is the invented weather with the sun of another latitude: as large a
// share of what comes in above the air.
func (o *Own) weather(text []byte) ([]byte, error) {
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	solar := -1
	for i, name := range rows[0] {
		if name == "solar_langley" {
			solar = i
		}
	}
	if solar < 0 {
		return nil, errors.New("the example has no solar_langley")
	}
	ra := func(latitude float64, day int) float64 { return et.ExtraterrestrialDaily(et.Radians(latitude), day) }
	for _, row := range rows[1:] {
		d, err := civil.ParseDate(row[0])
		if err != nil {
			return nil, err
		}
		v, err := strconv.ParseFloat(row[solar], 64)
		if err != nil {
			return nil, err
		}
		day := d.DaysSince(civil.Date{Year: d.Year, Month: 1, Day: 1}) + 1
		row[solar] = strconv.FormatFloat(math.Round(v*ra(o.Center[1], day)/ra(exampleLatitude, day)), 'f', 0, 64)
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	if err := w.WriteAll(rows); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
