// Rows of a struct as a comma-separated file.

package input

import (
	"encoding/csv"
	"fmt"
	"io"
	"reflect"

	"github.com/gocarina/gocsv"
)

// WriteRows writes rows with a header, through gocsv: column names from the
// csv tags, in the order of the fields, floats in full precision. A float that
// is not a number (NaN or an infinity) becomes an empty cell; text that reads
// "NaN" is left alone. R is a struct of plain or text-marshalling fields, its
// only nested structs embedded ones.
func WriteRows[R any](w io.Writer, rows []R) error {
	out := floatBlanker{Writer: csv.NewWriter(w), float: floatColumns(nil, reflect.TypeFor[R]())}
	if err := gocsv.MarshalCSV(rows, &out); err != nil {
		return fmt.Errorf("writing rows: %w", err)
	}
	return nil
}

// floatBlanker empties the cells of float columns that hold no number.
type floatBlanker struct {
	*csv.Writer
	float []bool
}

// Write implements gocsv.CSVWriter.
func (b *floatBlanker) Write(row []string) error {
	if len(row) != len(b.float) {
		return fmt.Errorf("a row of %d cells for %d columns", len(row), len(b.float))
	}
	for i, text := range row {
		if b.float[i] && (text == "NaN" || text == "+Inf" || text == "-Inf") {
			row[i] = ""
		}
	}
	return b.Writer.Write(row)
}

// floatColumns tells which columns of a row struct are floats, in gocsv's order.
func floatColumns(dst []bool, row reflect.Type) []bool {
	for i := range row.NumField() {
		f := row.Field(i)
		switch {
		case !f.IsExported() || f.Tag.Get("csv") == "-":
		case f.Anonymous && f.Type.Kind() == reflect.Struct:
			dst = floatColumns(dst, f.Type)
		default:
			kind := f.Type.Kind()
			if kind == reflect.Pointer {
				kind = f.Type.Elem().Kind()
			}
			dst = append(dst, kind == reflect.Float64 || kind == reflect.Float32)
		}
	}
	return dst
}
