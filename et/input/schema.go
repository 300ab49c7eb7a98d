// The columns that a row struct declares by its tags.

package input

import (
	"fmt"
	"reflect"
	"strings"
)

// Mapping tells how a file from elsewhere is read as it is. The zero Mapping
// is for a file of our own.
type Mapping struct {
	Columns      map[string]string // our column, with its unit suffix, to the file's own name for it
	Ignore       []string          // columns of the file that are not read
	IgnoreOthers bool              // do not read any column that is neither mapped nor ours
	Missing      []string          // codes that stand for "nothing measured", such as -9999
	SkipLines    int               // lines before the header
}

// Column is one column of a file that is read.
type Column struct {
	Pos          Pos    // in the header
	Name         string // as it stands in the header
	Key          string // base name, from the csv tag
	Unit         Unit   // as the suffix says; the zero Unit for a column without one
	decimalComma bool
}

// field is one field of a row struct.
type field struct {
	index  int
	key    string    // base name
	dim    Dimension // empty: no unit
	column bool      // the header must have it
	filled bool      // every row must give it
	number bool
	words  bool // text: a row may stop before it
}

// schema is what a row struct declares.
type schema struct {
	fields []field
	names  []string // every accepted column name
}

// schemaOf reads the tags of a row struct:
//
//	csv:"tmax"          the column's name without its unit
//	unit:"temperature"  a Dimension: the column carries a unit suffix
//	need:"column"       the header must have it
//	need:"cell"         every row must give it as well
//
// A tag that is wrong is a programmer's fault and panics.
func schemaOf(row reflect.Type) schema {
	var s schema
	for i := range row.NumField() {
		f := row.Field(i)
		key := f.Tag.Get("csv")
		if key == "-" {
			continue
		}
		if _, ok := reflect.New(f.Type).Interface().(cell); !ok || !f.IsExported() || key == "" || strings.Contains(key, ",") {
			panic(fmt.Sprintf("input: field %s of %s is no cell with a csv tag", f.Name, row))
		}
		dim := Dimension(f.Tag.Get("unit"))
		if dim != "" && UnitsOf(dim) == nil {
			panic(fmt.Sprintf("input: field %s of %s: no dimension %q", f.Name, row, dim))
		}
		need := f.Tag.Get("need")
		if need != "" && need != "column" && need != "cell" {
			panic(fmt.Sprintf("input: field %s of %s: need %q", f.Name, row, need))
		}
		s.fields = append(s.fields, field{
			index:  i,
			key:    key,
			dim:    dim,
			column: need != "",
			filled: need == "cell",
			number: f.Type == reflect.TypeFor[Number](),
			words:  f.Type == reflect.TypeFor[Text]() && need == "",
		})
		s.names = append(s.names, Keys(key, dim)...)
	}
	return s
}

// find gives the field and unit that one of our column names stands for.
func (s schema) find(name string) (f *field, u Unit, ok bool) {
	for i := range s.fields {
		f := &s.fields[i]
		if f.dim == "" {
			if name == f.key {
				return f, Unit{}, true
			}
			continue
		}
		for _, u := range UnitsOf(f.dim) {
			if name == u.Key(f.key) {
				return f, u, true
			}
		}
	}
	return nil, Unit{}, false
}

// bare finds the field whose name was written without its unit.
func (s schema) bare(name string) (*field, bool) {
	for i := range s.fields {
		if f := &s.fields[i]; f.dim != "" && f.key == name {
			return f, true
		}
	}
	return nil, false
}

// list names what is accepted, each quantity once: "date, tmax_c or tmax_f, ...".
func (s schema) list() string {
	parts := make([]string, len(s.fields))
	for i, f := range s.fields {
		parts[i] = OrList(Keys(f.key, f.dim))
	}
	return strings.Join(parts, ", ")
}
