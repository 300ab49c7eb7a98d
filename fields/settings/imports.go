// [imports.rain], [imports.weather] and [imports.passes]: files from elsewhere
// that are taken over into the farm's own.

package settings

import (
	"strings"

	"sandwick/et/input"
)

// Imports is how files from elsewhere are read when they are taken over.
type Imports struct {
	Rain, Weather Columns
	Passes        PanelLog
}

// PanelLog is how the exported log of a machine's panel is read. Its columns
// are time, azimuth_deg, timer_pct and water_on.
type PanelLog struct {
	Columns
	TimeFormat string   // such as "month/day/year hour:minute"; empty: ISO 8601
	On, Off    []string // words in the column water_on; nil: yes and no
}

func (s *Settings) readImports(root *section) {
	sec, ok := root.sub("imports")
	if !ok {
		return
	}
	defer sec.done()
	s.Imports.Rain = readColumns(sec, "rain")
	s.Imports.Weather = readColumns(sec, "weather")
	s.Imports.Passes = readPanelLog(sec, "passes")
}

func readPanelLog(root *section, key string) PanelLog {
	sec, ok := root.sub(key)
	if !ok {
		return PanelLog{}
	}
	// The keys that a log has beyond those of other files are read first:
	// what readColumns does not know it reports.
	l := PanelLog{TimeFormat: sec.text("time_format"), On: sec.texts("on"), Off: sec.texts("off")}
	if err := input.CheckTimeFormat(l.TimeFormat); err != nil {
		sec.report("time_format", l.TimeFormat, "%s", err)
	}
	if (l.On == nil) != (l.Off == nil) {
		sec.report("on", "", "the words for water on and water off go together; give both on and off")
	}
	for _, w := range l.On {
		for _, o := range l.Off {
			if strings.EqualFold(w, o) {
				sec.report("off", o, "stands under on too; keep one")
			}
		}
	}
	rest := map[string]any{}
	for k, v := range sec.table {
		if k != "time_format" && k != "on" && k != "off" {
			rest[k] = v
		}
	}
	l.Columns = readColumns(root.section(root.path, map[string]any{key: rest}), key)
	l.Pos = root.pos(key)
	return l
}
