// Package fields is a farm on disk and in memory: its settings, map, weather
// and records, and the walk through the season, day by day and cell by cell,
// that everything else is driven by. Files, time and money enter the program
// here and nowhere below.
//
//	farm.go      a farm folder read and checked as a whole
//	ground.go    cells and soil columns
//	outlook.go   the weather of every day, measured or not, and where it comes from
//	crops.go     what air and crop ask of the ground, by field and day
//	rain.go      whose gauge counts where
//	wetness.go   how the ground was wetted, for the single coefficient
//	watering.go  recorded passes as water on slices, by calendar day
//	table.go     depth of the water table by zone and day
//	walk.go      the season's balance; season.go what comes of it
//	problem.go   what the planner needs; morning.go the ground as the day begins
//	ends.go      what is not known of the ground, and its water under each end of it
//	probes.go    probe readings held against the books, or merged into them
//	seen.go      sightings against reach and depth of the water table; soils.go what soils hold
//	years.go     earlier years; ensemble.go the days to come, once for each
//	dryout.go    when zones run dry, and whether the pumps keep up
//	recording.go the farm as far as a record needs it
//	site.go      doubts about the station's place and the farm's clocks
//
// Sub-packages read one kind of file each: settings, zonemap, records.
package fields

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/crop"
	"sandwick/et/input"
	"sandwick/et/weather"
	"sandwick/fields/records"
	"sandwick/fields/records/journal"
	"sandwick/fields/settings"
	"sandwick/fields/zonemap"
	"sandwick/pivot"
)

// The weather files of a farm folder.
const (
	WeatherFile  = records.WeatherFile
	ForecastFile = "forecast.csv"
	HistoryFile  = "history.csv"
)

// Names that the other packages use for parts of a farm.
type (
	// Settings is what farm.toml says.
	Settings = settings.Settings
	// Field is one cropped block.
	Field = settings.Field
	// Pivot is one machine.
	Pivot = settings.Pivot
	// Well feeds one or more pivots.
	Well = settings.Well
	// Soil is one kind of ground.
	Soil = settings.Soil
	// Zone is one polygon of the map.
	Zone = zonemap.Zone
)

// Farm is a farm folder that was read without a problem.
type Farm struct {
	Settings
	Zones   []Zone
	Records records.Records
	Weather weather.Record
	// Forecast is empty without a forecast.csv.
	Forecast weather.Record
	// Doubts are things that look wrong in the files but do not stop the work,
	// in order of file and line.
	Doubts input.Problems

	ground  ground
	refs    []et.Reference // by day of Weather
	fcRefs  []et.Reference // by day of Forecast
	history func() (weather.Record, input.Problems)
	dir     string // as Load was given it; names the files in what is found later
}

// Load reads the farm folder dir. The error is of the folder itself; what is
// wrong in the files are the Problems, sorted, and with any of them the Farm
// is nil.
func Load(dir string, how ...Option) (*Farm, input.Problems) {
	if problems := noFolder(dir); problems != nil {
		return nil, problems
	}
	l := loader{fsys: journal.Settled(os.DirFS(dir)), dir: dir}
	for _, o := range how {
		o(&l)
	}
	f, problems := l.farm()
	inFolder(dir, problems)
	if f != nil {
		f.dir = dir
		for _, doubts := range []input.Problems{f.Doubts, f.Weather.Doubts, f.Forecast.Doubts} {
			inFolder(dir, doubts)
		}
	}
	return f, problems
}

// Option is a wish of [Load].
type Option func(*loader)

// HistoryToo reads history.csv meanwhile, for work that is going to ask for it:
// it is long.
func HistoryToo(l *loader) { l.historyToo = true }

// noFolder is the problem with a folder that there is not, or nil.
func noFolder(dir string) input.Problems {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return input.Problems{{Pos: input.Pos{File: dir}, Msg: "is not a farm folder: there is no such folder"}}
	}
	return nil
}

// inFolder names the files of problems from where the program runs.
func inFolder(dir string, ps input.Problems) {
	for i := range ps {
		ps[i].File = filepath.Join(dir, filepath.FromSlash(ps[i].File))
	}
}

// LoadFS is Load for any file system whose root is the farm folder. Files in
// messages are named from that root.
func LoadFS(fsys fs.FS) (*Farm, input.Problems) {
	l := loader{fsys: fsys}
	return l.farm()
}

func (l *loader) farm() (*Farm, input.Problems) {
	f := l.load()
	l.problems.Sort()
	if len(l.problems) > 0 {
		return nil, l.problems
	}
	f.Doubts = l.doubts
	f.Doubts.Sort()
	return f, nil
}

type loader struct {
	fsys             fs.FS
	dir              string // where it is, if on disk
	historyToo       bool
	problems, doubts input.Problems
	noSettings       bool // farm.toml has problems
	noMap            bool // zones.geojson could not be read at all
}

// trusted are the names of one kind, or nil, for not known, where there are
// none because of what is wrong in the settings: that is reported already.
func (l *loader) trusted(names []string) []string {
	if len(names) == 0 && l.noSettings {
		return nil
	}
	return names
}

// settings reads farm.toml; nil where nothing can be made of it.
func (l *loader) settings() *Farm {
	src, ok := l.read(settings.File, "settings")
	if !ok {
		return nil
	}
	set, problems, doubts := settings.Read(settings.File, src)
	l.problems = append(l.problems, problems...)
	l.doubts = append(l.doubts, doubts...)
	if set == nil {
		return nil
	}
	l.noSettings = len(problems) > 0
	return &Farm{Settings: *set}
}

func (l *loader) load() *Farm {
	f := l.settings()
	if f == nil {
		return nil
	}
	// Later files are read even when the settings are wrong, so that everything
	// is reported at once; only a broken site or time zone would make up faults.
	l.history(f)
	l.zones(f)
	l.weather(f)
	l.records(f)
	if len(l.problems) == 0 {
		l.problems = append(l.problems, f.lay()...)
	}
	if len(l.problems) == 0 {
		l.consider(f)
	}
	return f
}

func (l *loader) read(name, what string) ([]byte, bool) {
	src, err := fs.ReadFile(l.fsys, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		l.problems.Add(input.Pos{File: name}, "", "", "is missing; every farm folder has its %s in it", what)
	case err != nil:
		l.problems.Add(input.Pos{File: name}, "", "", "cannot be read: %v", err)
	}
	return src, err == nil
}

func (l *loader) zones(f *Farm) {
	src, ok := l.read(zonemap.File, "map")
	if !ok {
		l.noMap = true
		return
	}
	zones, problems := zonemap.Read(zonemap.File, src, zonemap.Names{
		Fields: l.trusted(f.FieldNames()),
		Soils:  l.trusted(f.SoilNames()),
		Pivot: func(field string) *pivot.Machine {
			if i := f.FieldIndex(field); i >= 0 {
				return f.PivotOf(&f.Fields[i])
			}
			return nil
		},
	})
	l.problems = append(l.problems, problems...)
	f.Zones = zones
	l.noMap = zones == nil
	for i := range f.Fields {
		name := f.Fields[i].Name
		if len(problems) == 0 && !slices.ContainsFunc(zones, func(z Zone) bool { return z.Field == name }) {
			l.problems.Add(f.Fields[i].Pos, "fields.name", name, "this field has no zone in %s", zonemap.File)
		}
	}
}

// history lets history.csv be read when it is asked for: it is long, and most
// commands do not look at it.
func (l *loader) history(f *Farm) {
	f.history = sync.OnceValues(func() (weather.Record, input.Problems) {
		if !l.exists(HistoryFile) {
			return weather.Record{}, nil
		}
		file, err := l.fsys.Open(HistoryFile)
		if err != nil {
			return weather.Record{}, input.Problems{{Pos: input.Pos{File: HistoryFile}, Msg: "cannot be read: " + err.Error()}}
		}
		defer file.Close()
		rec, problems := f.record(file, HistoryFile, f.Settings.History)
		if l.dir != "" {
			inFolder(l.dir, problems)
			inFolder(l.dir, rec.Doubts)
		}
		return rec, problems
	})
	if l.historyToo {
		go f.history()
	}
}

// weather reads the weather, and the forecast if there is one.
func (l *loader) weather(f *Farm) {
	if text, ok := l.read(WeatherFile, "station's record"); ok {
		text, doubts := records.CountingWeather(l.fsys, l.bookFarm(f), text, f.Settings.Weather.SkipLines)
		l.doubts = append(l.doubts, doubts...)
		var problems input.Problems
		f.Weather, problems = f.record(bytes.NewReader(text), WeatherFile, f.Settings.Weather)
		l.problems = append(l.problems, problems...)
		l.doubts = append(l.doubts, f.Weather.Doubts...)
		f.refs = f.Weather.References(f.Site, f.Method)
	}
	if l.exists(ForecastFile) {
		if text, ok := l.read(ForecastFile, "forecast"); ok {
			var problems input.Problems
			f.Forecast, problems = f.record(bytes.NewReader(text), ForecastFile, f.Settings.Forecast)
			l.problems = append(l.problems, problems...)
			l.doubts = append(l.doubts, f.Forecast.Doubts...)
			f.fcRefs = f.Forecast.References(f.Site, f.Method)
		}
	}
}

func (l *loader) exists(name string) bool { _, err := fs.Stat(l.fsys, name); return err == nil }

// record reads a file of weather as the settings say.
func (f *Farm) record(src io.Reader, name string, c settings.Columns) (weather.Record, input.Problems) {
	rec, problems := weather.Read(src, weather.Options{
		File: name, Mapping: c.Mapping, Location: f.Location, Site: &f.Site, HourEnding: c.HourEnding,
	})
	for i := range problems { // a fault of the mapping stands in farm.toml
		if at, ok := c.At(problems[i].Field); ok && problems[i].Line == 0 {
			problems[i].Pos = at
		}
	}
	return rec, problems
}

// History reads history.csv, the weather of earlier years; empty without one.
// It is read at the first call; nobody may change it.
func (f *Farm) History() (weather.Record, input.Problems) { return f.history() }

// bookFarm is what records may refer to.
func (l *loader) bookFarm(f *Farm) *records.Farm {
	farm := &records.Farm{
		Location: f.Location, Start: f.Start.Date,
		Wells: l.trusted(f.WellNames()), Fields: l.trusted(f.FieldNames()),
		CutCrop: func(field string) bool {
			i := f.FieldIndex(field)
			return i >= 0 && f.Fields[i].Crop.Recovery != crop.Lengths{}
		},
	}
	farm.Totalisers = map[string]records.Totaliser{}
	for i := range f.Wells {
		w := &f.Wells[i]
		farm.Totalisers[w.Name] = records.Totaliser{Digits: w.Meter.Digits, Multiplier: w.Meter.Multiplier, FlowM3H: w.FlowM3H}
	}
	for i := range f.Pivots {
		farm.Machines = append(farm.Machines, &f.Pivots[i].Machine)
	}
	if !l.noMap {
		farm.Zones, farm.Pipes = []string{}, []string{}
	}
	for _, z := range f.Zones {
		if z.Name != "" {
			farm.Zones = append(farm.Zones, z.Name)
		}
		if z.Pipe != "" && !slices.Contains(farm.Pipes, z.Pipe) {
			farm.Pipes = append(farm.Pipes, z.Pipe)
		}
	}
	return farm
}

func (l *loader) records(f *Farm) {
	r, problems, doubts := records.Read(l.fsys, l.bookFarm(f))
	l.problems = append(l.problems, problems...)
	l.doubts = append(l.doubts, doubts...)
	f.Records = r
}

// consider holds the files against each other once each is sound by itself.
func (l *loader) consider(f *Farm) {
	if len(f.refs) == 0 {
		l.problems.Add(input.Pos{File: WeatherFile}, "", "", "has no days")
		return
	}
	first := f.Weather.Days[0].Date
	if first.After(f.Start.Date) {
		l.problems.Add(f.Weather.DayPos[0], "", "", "the record begins on %s, after the season's start; the season can start on %s at the earliest, or the record must reach back to %s",
			first, first, f.Start.Date)
	}
	for i := range f.Fields {
		fd := &f.Fields[i]
		if fd.Crop.Lengths.ByHeat && first.After(fd.Start) {
			l.problems.Add(fd.Pos, "fields.start", fd.Start.String(), "comes before the weather record, which begins on %s; stages by heat need the weather from planting on", first)
		}
	}
	l.doubts = append(l.doubts, f.doubtSite()...)
	l.doubts = append(l.doubts, f.doubtDeepTables()...)
	l.doubts = append(l.doubts, f.doubtPipes()...)
	l.doubts = append(l.doubts, f.doubtCuts()...)
	l.doubts = append(l.doubts, f.doubtBareGround()...)
	l.doubts = append(l.doubts, f.doubtFuture()...)
	l.doubts = append(l.doubts, f.doubtPinned()...)
}

// doubtDeepTables doubts zones over a table deeper than any that is looked for.
func (f *Farm) doubtDeepTables() input.Problems {
	var doubts input.Problems
	for i := range f.Zones {
		if z := &f.Zones[i]; z.TableM > records.DeepTableM && !math.IsInf(z.TableM, 1) {
			u, _ := input.UnitOf(input.Length, "m")
			if f.US {
				u, _ = input.UnitOf(input.Length, "ft")
			}
			doubts.Add(z.Pos, "water_table", fmt.Sprintf("%.4g %s", u.FromSI(z.TableM), u.Name), "zone %q: is deeper than %.3g %s; in inches or centimetres? null means out of reach",
				z.Name, u.FromSI(records.DeepTableM), u.Name)
		}
	}
	return doubts
}

// doubtPinned doubts a day pinned in farm.toml that the weather or the records
// have passed: what is newer plays no part.
func (f *Farm) doubtPinned() input.Problems {
	var doubts input.Problems
	if !f.Today.IsValid() {
		return nil
	}
	if name, last := f.newest(); last.After(f.Today) {
		doubts.Add(f.TodayPos, "farm.today", f.Today.String(), "pins the day, and %s goes to %s: what is later than the pinned day plays no part; take the line out to work with the clock's day", name, last)
	}
	return doubts
}

// newest is the last day measured or read, and the file that has it. Passes may
// be entered ahead, and do not count.
func (f *Farm) newest() (name string, last civil.Date) {
	see := func(file string, d civil.Date) {
		if d.After(last) {
			name, last = file, d
		}
	}
	if n := len(f.Weather.Days); n > 0 {
		see(WeatherFile, f.Weather.Days[n-1].Date)
	}
	in := func(file string) string { return records.Dir + "/" + file }
	for i := range f.Records.Rain {
		see(in(records.RainFile), f.Records.Rain[i].Date)
	}
	for i := range f.Records.Probes {
		see(in(records.ProbesFile), f.Records.Probes[i].Date)
	}
	for i := range f.Records.WaterTable {
		see(in(records.WaterTableFile), f.Records.WaterTable[i].Date)
	}
	for i := range f.Records.Cuts {
		see(in(records.CutsFile), f.Records.Cuts[i].Date)
	}
	for i := range f.Records.Meters {
		see(in(records.MetersFile), f.Records.Meters[i].Date)
	}
	for i := range f.Records.Seen {
		see(in(records.SeenFile), f.Records.Seen[i].Date)
	}
	return name, last
}

// doubtFuture doubts records dated long after everything else the farm knows
// of: most likely the year or month is mistyped.
func (f *Farm) doubtFuture() input.Problems {
	last := f.Weather.Days[len(f.Weather.Days)-1].Date
	if n := len(f.Forecast.Days); n > 0 && f.Forecast.Days[n-1].Date.After(last) {
		last = f.Forecast.Days[n-1].Date
	}
	if f.Today.After(last) {
		last = f.Today
	}
	var doubts input.Problems
	add := func(d civil.Date, at input.Pos) {
		if n := d.DaysSince(last); n > farAhead {
			doubts.Add(at, "", d.String(), "lies %d days after the last day that the farm has weather for; is the date right?", n)
		}
	}
	for _, r := range f.Records.Rain {
		add(r.Date, r.Pos)
	}
	for _, r := range f.Records.Passes {
		add(civil.DateOf(r.Start), r.Pos)
	}
	for _, r := range f.Records.Probes {
		add(r.Date, r.Pos)
	}
	for _, r := range f.Records.WaterTable {
		add(r.Date, r.Pos)
	}
	for _, r := range f.Records.Cuts {
		add(r.Date, r.Pos)
	}
	for _, r := range f.Records.Meters {
		add(r.Date, r.Pos)
	}
	for _, r := range f.Records.Seen {
		add(r.Date, r.Pos)
	}
	return doubts
}

// farAhead is how many days a record may lie past the weather without a word:
// a station's record may be fetched once a month.
const farAhead = 45
