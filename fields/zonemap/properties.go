// The properties of a zone.

package zonemap

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"sandwick/et/input"
)

// What a zone may say of itself, besides the water table in its units.
var otherKeys = []string{"zone", "field", "soil", "water_table_date", "water_table_damping", "pipe", "probes", "note"}

func (r *reader) properties(path string, props map[string]any, z *Zone) {
	text := func(key string, required bool, what string) string {
		v, ok := props[key]
		if !ok || v == nil {
			if required {
				r.report(path, key, "", "is missing; give %s", what)
			}
			return ""
		}
		s, ok := v.(string)
		if !ok {
			r.report(path+"."+key, key, show(v), "is not text; write it between quotation marks")
			return ""
		}
		if s = strings.TrimSpace(s); s == "" && required {
			r.report(path+"."+key, key, "", "is empty; give %s", what)
		}
		return s
	}
	z.Name = text("zone", true, "every zone a name of its own")
	if z.Name != "" {
		if i := byName(r.zones, z.Name); i >= 0 {
			r.report(path+".zone", "zone", z.Name, "is the name of another zone (line %d); names must differ", r.zones[i].Pos.Line)
		}
	}
	z.Field = text("field", true, "the field that the zone is part of")
	named := func(key, name string, known []string) string {
		if name == "" || known == nil {
			return name
		}
		meant, ok := input.Known(name, known)
		if !ok {
			r.report(path+"."+key, key, name, "no %s has this name%s", key, input.NearestHint(name, known))
			return ""
		}
		return meant
	}
	z.Field = named("field", z.Field, r.known.Fields)
	z.Soil = text("soil", true, "the soil of the zone, as named in farm.toml")
	z.Soil = named("soil", z.Soil, r.known.Soils)
	z.Pipe = text("pipe", false, "")
	text("note", false, "")
	r.tableDate(path, text("water_table_date", false, ""), z)
	r.table(path, props, z)
	r.damping(path, props, z)
	r.plusMinus(path, props, z)
	r.probes(path, text("probes", false, ""), z)
	if z.Pipe != "" && !z.TableDate.IsValid() && props["water_table_date"] == nil {
		r.report(path+".pipe", "water_table_date", "", "is missing; a zone that follows a pipe states the day of its own depth, as 2026-05-01")
	}
	if z.Pipe != "" && math.IsInf(z.TableM, 1) {
		r.report(path+".pipe", "pipe", z.Pipe, "is followed by a zone without a water table; give its depth, or leave the pipe out")
	}
	r.unknown(path, props)
}

func (r *reader) tableDate(path, text string, z *Zone) {
	if text == "" {
		return
	}
	d, err := input.ParseDate(text)
	if err != nil {
		r.report(path+".water_table_date", "water_table_date", text, "%s", err.Error())
		return
	}
	z.TableDate = d
}

func (r *reader) table(path string, props map[string]any, z *Zone) {
	z.TableM = math.Inf(1)
	key, u, err := input.Choose("water_table", input.Length, func(k string) bool { _, ok := props[k]; return ok })
	switch {
	case errors.Is(err, input.ErrNoUnit):
		r.report(path, "water_table", "", "%s; null means out of reach", err.Error())
		return
	case err != nil:
		r.report(path+"."+key, key, "", "%s", err.Error())
		return
	}
	switch v := props[key].(type) {
	case nil: // out of reach
	case float64:
		m := u.ToSI(v)
		switch {
		case m < 0:
			r.report(path+"."+key, key, show(v), "is above ground; a depth from 0 to %.0f %s is accepted, null for out of reach", u.FromSI(MaxTableM), u.Name)
		case m > MaxTableM:
			r.report(path+"."+key, key, show(v), "is deeper than any that feeds a crop; a depth from 0 to %.0f %s is accepted, null for out of reach", u.FromSI(MaxTableM), u.Name)
		default:
			z.TableM = m
		}
	default:
		r.report(path+"."+key, key, show(v), "is not a number; a depth below ground is accepted, null for out of reach")
	}
}

// damping is the share of the pipe's changes that a zone follows; all of them
// where it says nothing.
func (r *reader) damping(path string, props map[string]any, z *Zone) {
	const key = "water_table_damping"
	z.Damping = 1
	v, ok := props[key]
	if !ok || v == nil {
		return
	}
	share, ok := v.(float64)
	switch {
	case !ok:
		r.report(path+"."+key, key, show(v), "is not a number; 0 to 1 is accepted, 1 moves the zone as much as its pipe")
	case !(share >= 0 && share <= 1):
		r.report(path+"."+key, key, show(v), "is out of range; 0 to 1 is accepted, 1 moves the zone as much as its pipe")
	case z.Pipe == "":
		r.report(path+"."+key, key, show(v), "damps the changes of a pipe, and the zone follows none; give its pipe, or leave this out")
	default:
		z.Damping = share
	}
}

// plusMinus is how well the zone's depth is known on its date.
func (r *reader) plusMinus(path string, props map[string]any, z *Zone) {
	const stem = "water_table_plus_minus"
	z.PlusMinusM = math.NaN()
	key, u, err := input.Choose(stem, input.Length, func(k string) bool { v, ok := props[k]; return ok && v != nil })
	switch {
	case errors.Is(err, input.ErrNoUnit):
		return // the farm's
	case err != nil:
		r.report(path+"."+key, key, "", "%s", err.Error())
		return
	}
	v, ok := props[key].(float64)
	switch m := u.ToSI(v); {
	case !ok:
		r.report(path+"."+key, key, show(props[key]), "is not a number; 0 to %.1f %s is accepted", u.FromSI(maxPlusMinusM), u.Name)
	case !(m >= 0 && m <= maxPlusMinusM):
		r.report(path+"."+key, key, show(v), "is out of range; 0 to %.1f %s is accepted", u.FromSI(maxPlusMinusM), u.Name)
	case math.IsInf(z.TableM, 1):
		r.report(path+"."+key, key, show(v), "is of a zone without a water table; give its depth, or leave this out")
	default:
		z.PlusMinusM = m
	}
}

// maxPlusMinusM is the largest doubt about a depth that is still a depth.
const maxPlusMinusM = 2

// probes is what is to be done with probe readings of the zone.
func (r *reader) probes(path, text string, z *Zone) {
	switch text {
	case "", "compare":
	case "merge":
		z.MergeProbes = true
	default:
		r.report(path+".probes", "probes", text, `is not known; "compare" (with the books) or "merge" (into the books) is accepted`)
	}
}

func (r *reader) unknown(path string, props map[string]any) {
	known := slices.Concat(otherKeys, input.Keys("water_table", input.Length), input.Keys("water_table_plus_minus", input.Length))
	var keys []string
	for k := range props {
		if !slices.Contains(known, k) {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	for _, k := range keys {
		r.report(path+"."+k, k, "", "unknown property%s", input.NearestHint(k, known))
	}
}

func show(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case map[string]any:
		return "an object"
	case []any:
		return "a list"
	}
	return fmt.Sprint(v)
}
