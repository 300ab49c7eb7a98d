// The farm as far as a record needs it: what things are called and how the
// machines are built. Weather and earlier records need not be sound for that.

package fields

import (
	"os"

	"sandwick/et/input"
	"sandwick/fields/records"
	"sandwick/fields/records/journal"
)

// Recording is a farm folder opened for recording.
type Recording struct {
	Settings
	Zones  []Zone
	Writer *records.Writer
	// Pinned doubts the day that farm.toml pins, where the weather or the records
	// have passed it.
	Pinned input.Problems
}

// OpenRecording reads the settings and the map of a farm folder. With problems the
// Recording is nil.
func OpenRecording(dir string) (*Recording, input.Problems) {
	if problems := noFolder(dir); problems != nil {
		return nil, problems
	}
	l := loader{fsys: journal.Settled(os.DirFS(dir))}
	f := l.settings()
	if f != nil {
		l.zones(f)
	}
	if len(l.problems) > 0 {
		l.problems.Sort()
		inFolder(dir, l.problems)
		return nil, l.problems
	}
	r := &Recording{f.Settings, f.Zones, &records.Writer{Dir: dir, Farm: l.bookFarm(f), US: f.US, WeatherSkip: f.Settings.Weather.SkipLines}, nil}
	if f.Today.IsValid() {
		l.fsys = newest{os.DirFS(dir), f.Settings.Weather.SkipLines}
		l.weather(f) // whatever may be wrong in them
		l.records(f)
		r.Pinned = f.doubtPinned()
		inFolder(dir, r.Pinned)
	}
	return r, nil
}

// Arm is where a machine's arm stands at the end of its last recorded pass, or
// where it was parked before the first.
func (r *Recording) Arm(pivot string) (deg float64, problems input.Problems) {
	i := r.PivotIndex(pivot)
	deg = float64(r.Pivots[i].Parked)
	last, problems := r.Writer.LastPass(pivot)
	if last != nil {
		deg = float64(last.To)
	}
	return deg, problems
}
