// sandwick init: a farm folder to start from.
package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/starter"
	"sandwick/et/input"

	"github.com/paulmach/orb"
	"github.com/spf13/cobra"
	"golang.org/x/term"
)

const initLong = `Write a farm folder to start from: settings with a comment on every line that needs
one, a zone map, six weeks of invented weather, and empty record books. It runs as it
stands, so that each change can be tried at once.

Forms:
  sandwick init DIR                 asks where the pivot stands; on anything but a terminal, and
                                    with --example, an invented farm
  sandwick init DIR --latitude 44.2 --longitude -89.6 --length 1300ft --elevation 1080ft
                    --timezone America/Chicago
  sandwick init DIR --corner 44.196,-89.606 --corner 44.196,-89.594 --corner 44.204,-89.594
                    --corner 44.204,-89.606 --elevation 1080ft --timezone America/Chicago

The pivot is given by its centre and the length to the last nozzle, or by the four corners,
LATITUDE,LONGITUDE in order around it, of the square that its circle lies in. The farm has
one zone then, the whole circle; "sandwick serve" has a page to cut it into those there are.
Flow and hours, if not given, are the example's for a circle of that size.

DIR is made if need be. A folder that already holds something is left as it is.`

// initFlags tell of one's own farm.
type initFlags struct {
	example                       bool
	name, timezone                string
	latitude, longitude           float64
	corners                       []string
	length, elevation, flow, full string
}

func (p *program) initCommand() *cobra.Command {
	f := initFlags{latitude: math.NaN(), longitude: math.NaN()}
	cmd := &cobra.Command{
		Use:     "init DIR",
		Short:   "write a farm folder to start from",
		Long:    initLong,
		Example: "  sandwick init myfarm\n  sandwick plan --farm myfarm",
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(args) == 0:
				return usage(errors.New("init: no folder named"), "say where to write the farm: `sandwick init myfarm`")
			case len(args) > 1:
				return usage(fmt.Errorf("init: one folder at a time (got %d)", len(args)), "put quotes around a name with spaces")
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		},
		RunE: func(_ *cobra.Command, args []string) error { return p.init(args[0], f) },
	}
	flags := cmd.Flags()
	flags.BoolVar(&f.example, "example", false, "ask nothing: an invented farm")
	flags.StringVar(&f.name, "name", "", "the farm's `NAME`")
	flags.StringVar(&f.timezone, "timezone", "", "the time zone of its clocks, a `NAME` such as America/Chicago")
	flags.Var(number{&f.latitude}, "latitude", "of the pivot point, `DEGREES`, north is positive")
	flags.Var(number{&f.longitude}, "longitude", "of the pivot point, `DEGREES`, west is negative")
	flags.StringArrayVar(&f.corners, "corner", nil, "one of the four corners of its square, `LATITUDE,LONGITUDE`; given four times instead of the centre and the length")
	flags.StringVar(&f.length, "length", "", "of the pivot to its last nozzle, a `LENGTH` such as 1300ft or 400m")
	flags.StringVar(&f.elevation, "elevation", "", "of the ground above the sea, a `LENGTH` such as 1080ft")
	flags.StringVar(&f.flow, "flow", "", "of the pivot, a `FLOW` such as 800gpm or 180m3h (default: the example's for its size)")
	flags.StringVar(&f.full, "hours", "", "`HOURS` of one revolution at full timer (default: the example's for its size)")
	for _, flag := range []string{"name", "timezone", "latitude", "longitude", "corner", "length", "elevation", "flow", "hours"} {
		must(cmd.RegisterFlagCompletionFunc(flag, cobra.NoFileCompletions))
	}
	return cmd
}

// any tells whether anything was told of one's own farm.
func (f *initFlags) any() bool {
	return f.name != "" || f.timezone != "" || !math.IsNaN(f.latitude) || !math.IsNaN(f.longitude) || len(f.corners) > 0 ||
		f.length != "" || f.elevation != "" || f.flow != "" || f.full != ""
}

func (p *program) init(dir string, f initFlags) error {
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return usage(fmt.Errorf("init: %s is not empty, nothing was written", dir), "name a new folder")
	}
	write := starter.Write
	hint := fmt.Sprintf("`sandwick plan --farm %s` runs it; farm.toml says line by line what to change", dir)
	own := f.any()
	switch {
	case own && f.example:
		return usage(errors.New("init: --example excludes what is said of a farm of your own"), "leave it out")
	case !own && !f.example && p.onTerminal():
		if err := p.askFarm(&f); err != nil {
			return err
		}
		own = f.any()
	}
	if own {
		o, err := p.ownFarm(&f)
		if err != nil {
			return err
		}
		p.doubtLongitude(o)
		write = o.Write
		hint = fmt.Sprintf("`sandwick serve --farm %s` has pages to draw its zones and to see its plan; the weather in it is invented, and farm.toml says line by line what to change", dir)
	}
	written, err := write(dir)
	switch {
	case errors.Is(err, starter.ErrNotEmpty):
		return usage(fmt.Errorf("init: %s is not empty, nothing was written", dir), "name a new folder")
	case err != nil:
		return &failure{fmt.Errorf("init: %w", err), "is there room, and may you write there?"}
	}
	for _, name := range written {
		if _, err := fmt.Fprintln(p.stdout, filepath.Join(dir, filepath.FromSlash(name))); err != nil {
			return err
		}
	}
	p.hint(hint)
	return nil
}

// onTerminal tells whether a person can be asked.
func (p *program) onTerminal() bool {
	in, ok := p.stdin.(*os.File)
	out, also := p.stderr.(*os.File)
	return ok && also && term.IsTerminal(int(in.Fd())) && term.IsTerminal(int(out.Fd()))
}

// askFarm asks for what ownFarm needs, until each answer will do. An empty first
// answer is for the invented farm.
func (p *program) askFarm(f *initFlags) error {
	in := bufio.NewScanner(p.stdin)
	ask := func(what string, optional bool, take func(text string) error) error {
		for {
			fmt.Fprintf(p.stderr, "%s: ", what)
			if !in.Scan() {
				if err := in.Err(); err != nil {
					return err
				}
				return usage(io.ErrUnexpectedEOF, "nothing was written")
			}
			text := strings.TrimSpace(in.Text())
			if text == "" && optional {
				return nil
			}
			err := take(text)
			if err == nil {
				return nil
			}
			fmt.Fprintf(p.stderr, "  %v\n", err)
		}
	}
	text := func(to *string) func(string) error {
		return func(t string) error { *to = t; return nil }
	}
	quantity := func(to *string, dim input.Dimension) func(string) error {
		return func(t string) error {
			_, err := input.ParseQuantity(t, dim)
			*to = t
			return err
		}
	}
	coordinate := func(to *float64, most float64) func(string) error {
		return func(t string) error {
			if err := (number{to}).Set(t); err != nil {
				return err
			}
			if !(math.Abs(*to) <= most) {
				return fmt.Errorf("out of range; -%g to %g is accepted", most, most)
			}
			return nil
		}
	}
	corners := false
	first := func(t string) error {
		if strings.EqualFold(strings.Trim(t, `"'`), "corners") {
			corners = true
			return nil
		}
		return coordinate(&f.latitude, mostLatitude)(t)
	}
	if err := ask("latitude of the pivot point, degrees north, or \"corners\" to give those of its square (empty: an invented farm to look at)", true, first); err != nil || math.IsNaN(f.latitude) && !corners {
		return err
	}
	type question struct {
		what     string
		optional bool
		take     func(string) error
	}
	where := []question{
		{"longitude, degrees east (west is negative)", false, coordinate(&f.longitude, 180)},
		{"length to the last nozzle, such as 1300ft or 400m", false, quantity(&f.length, input.Length)},
	}
	if corners {
		corner := func(t string) error {
			if _, err := place(t); err != nil {
				return err
			}
			f.corners = append(f.corners, t)
			return nil
		}
		where = nil
		for i := range 3 {
			where = append(where, question{fmt.Sprintf("corner %d of its square, LATITUDE,LONGITUDE, in order around it", i+1), false, corner})
		}
		where = append(where, question{"corner 4", false, func(t string) error {
			if err := corner(t); err != nil {
				return err
			}
			if _, _, err := square(f.corners); err != nil {
				f.corners = f.corners[:3]
				return err
			}
			return nil
		}})
	}
	for _, q := range append(where, []question{
		{"elevation above the sea, such as 1080ft or 330m", false, quantity(&f.elevation, input.Length)},
		{"time zone, such as America/Chicago", false, func(t string) error { f.timezone = t; return zoneKnown(t) }},
		{"units of tables, us or si (empty: us)", true, func(t string) error {
			p.common.units = t
			if _, err := p.common.system(); err != nil {
				return fmt.Errorf("us or si is accepted (got %q)", t)
			}
			return nil
		}},
		{"name of the farm (empty: My farm)", true, text(&f.name)},
	}...) {
		if err := ask(q.what, q.optional, q.take); err != nil {
			return err
		}
	}
	return nil
}

// mostLatitude is how far from the equator a farm may lie: beyond, the sun does
// not set or rise for weeks, and nothing is irrigated.
const mostLatitude = 66

func zoneKnown(name string) error {
	if name == "" || name == "Local" {
		return errors.New("not a time zone; a name such as America/Chicago is accepted")
	}
	if _, err := time.LoadLocation(name); err != nil {
		return fmt.Errorf("no time zone has this name; one such as America/Chicago is accepted (got %q)", name)
	}
	return nil
}

// ownFarm makes sense of the flags.
func (p *program) ownFarm(f *initFlags) (*starter.Own, error) {
	o := &starter.Own{Name: f.name, Timezone: f.timezone, SI: p.common.units == "si"}
	if _, err := p.common.system(); p.common.units != "" && err != nil {
		return nil, err
	}
	if o.Name == "" {
		o.Name = "My farm"
	}
	var wrong faults
	length := func(flag, text string, least, most float64) float64 {
		q, err := input.ParseQuantity(text, input.Length)
		if err == nil && !(q.SI >= least && q.SI <= most) {
			err = fmt.Errorf("out of range; %g to %g m is accepted", least, most)
		}
		if err != nil {
			wrong.add(usage(fmt.Errorf("--%s: %w (got %q)", flag, err, text), "write it like 1300ft or 400m"))
		}
		return q.SI
	}
	switch {
	case len(f.corners) > 0 && (!math.IsNaN(f.latitude) || !math.IsNaN(f.longitude) || f.length != ""):
		wrong.add(usage(errors.New("--corner excludes --latitude, --longitude and --length"), "the pivot follows from its corners"))
	case len(f.corners) > 0:
		places := true
		for _, text := range f.corners {
			if _, err := place(text); err != nil {
				places = wrong.add(usage(fmt.Errorf("--corner: not a place (got %q)", text), "write it as LATITUDE,LONGITUDE in degrees, like 44.196,-89.606"))
			}
		}
		if places {
			var err error
			if o.Center, o.LengthM, err = square(f.corners); err != nil {
				wrong.add(usage(fmt.Errorf("--corner: %w", err), "give --corner four times"))
			}
		}
	default:
		missing := []string{}
		for _, x := range []struct {
			flag    string
			v, most float64
		}{{"--latitude", f.latitude, mostLatitude}, {"--longitude", f.longitude, 180}} {
			switch {
			case math.IsNaN(x.v):
				missing = append(missing, x.flag)
			case !(math.Abs(x.v) <= x.most):
				wrong.add(usage(fmt.Errorf("%s: out of range (got %g)", x.flag, x.v), fmt.Sprintf("want degrees from -%g to %g", x.most, x.most)))
			}
		}
		o.Center = orb.Point{f.longitude, f.latitude}
		if f.length == "" {
			missing = append(missing, "--length")
		} else {
			o.LengthM = length("length", f.length, 30, mostLengthM)
		}
		if len(missing) > 0 {
			wrong.add(usage(fmt.Errorf("init: %s not given", strings.Join(missing, " and ")), "give the pivot's centre and length, or its four corners; `sandwick init --help` shows how"))
		}
	}
	if f.elevation == "" {
		wrong.add(usage(errors.New("init: --elevation not given"), "air pressure follows from it: --elevation 1080ft"))
	} else {
		o.ElevationM = length("elevation", f.elevation, -430, 5000)
	}
	if err := zoneKnown(f.timezone); err != nil {
		wrong.add(usage(fmt.Errorf("--timezone: %w", err), ""))
	}
	if f.flow != "" {
		q, err := input.ParseQuantity(f.flow, input.Flow)
		if err != nil || !(q.SI > 0) {
			wrong.add(usage(fmt.Errorf("--flow: not a flow (got %q)", f.flow), "write it like 800gpm or 180m3h"))
		}
		o.FlowM3H = q.SI
	}
	if f.full != "" {
		var err error
		if o.HoursAtFull, err = input.ParseNumber(strings.TrimSuffix(f.full, "h")); err != nil || !(o.HoursAtFull > 0) {
			wrong.add(usage(fmt.Errorf("--hours: not a number of hours (got %q)", f.full), "write it like 20"))
		}
	}
	return o, wrong.err()
}

// sunHours is how far clocks may be from the sun: nowhere are they so far. Common
// practice, no published source.
const sunHours = 4

// doubtLongitude warns where the clocks of a farm are those of another part of the
// world: a sign was forgotten. UTC is kept anywhere.
func (p *program) doubtLongitude(o *starter.Own) {
	loc, err := time.LoadLocation(o.Timezone)
	if err != nil || o.Timezone == "UTC" || strings.HasPrefix(o.Timezone, "Etc/") {
		return
	}
	_, offset := time.Date(2025, time.January, 1, 12, 0, 0, 0, loc).Zone()
	apart := math.Abs(math.Remainder(float64(offset)/3600-o.Center[0]/15, 24)) // a day is 24 h and 360 degrees
	if apart > sunHours {
		p.warnf("the clocks of %s are %.0f hours from the sun at longitude %.6g; west of Greenwich is negative", o.Timezone, apart, o.Center[0])
	}
}

// place reads LATITUDE,LONGITUDE.
func place(text string) (orb.Point, error) {
	lat, lon, ok := strings.Cut(text, ",")
	y, errY := input.ParseNumber(strings.TrimSpace(lat))
	x, errX := input.ParseNumber(strings.TrimSpace(lon))
	if !ok || errY != nil || errX != nil || !(math.Abs(y) <= mostLatitude) || !(math.Abs(x) <= 180) {
		return orb.Point{}, fmt.Errorf("not a place; LATITUDE,LONGITUDE in degrees is accepted, like 44.196,-89.606 (got %q)", text)
	}
	return orb.Point{x, y}, nil
}

// square finds the pivot in the square of these corners, each of which is a place.
func square(texts []string) (center orb.Point, lengthM float64, err error) {
	corners := []orb.Point{}
	for _, text := range texts {
		c, err := place(text)
		if err != nil {
			return center, 0, err
		}
		corners = append(corners, c)
	}
	if center, lengthM, err = starter.Circle(corners); err == nil && !(lengthM <= mostLengthM) {
		err = fmt.Errorf("a circle of %.0f m does not fit any machine", lengthM)
	}
	return center, lengthM, err
}

// mostLengthM is longer than any centre pivot. Common practice, no published source.
const mostLengthM = 1200
