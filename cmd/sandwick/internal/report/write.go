// Package report holds what the commands answer, as plain structs: JSON, CSV
// and the tables for people are all written from the very same values. It
// turns facts and codes into words; it computes nothing of its own.
package report

import (
	"encoding/json"
	"fmt"
	"io"

	"github.com/gocarina/gocsv"
)

// WriteJSON writes v as one indented JSON document.
func WriteJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	return nil
}

// WriteCSV writes rows, a slice of structs with csv tags, under a header line.
func WriteCSV(w io.Writer, rows any) error {
	if err := gocsv.Marshal(rows, w); err != nil {
		return fmt.Errorf("writing CSV: %w", err)
	}
	return nil
}
