// Rows of the books of records in words, for the pages that take them back.

package main

import (
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/site"
	"sandwick/et/input"
	"sandwick/fields/records"
)

// rowOf words a row for people. What it does not know it gives as it stands.
func rowOf(r records.Row) site.Row {
	cells := map[string]string{} // by the column's name without its unit, the unit behind the number
	names := []string{}
	for _, cell := range strings.Split(r.Text, "; ") {
		name, text, _ := strings.Cut(cell, "=")
		key, unit := columnUnit(name)
		if text == "" {
			continue
		}
		cells[key] = dayWords(text) + unit
		names = append(names, key)
	}
	words := []string{}
	for _, key := range names {
		text := cells[key]
		switch key {
		case "amount", "note", "date":
		case "start":
			if end := cells["end"]; end != "" {
				text += " to " + sinceDay(end, text)
			}
		case "from":
			text += " to " + cells["to"] + " " + cells["direction"]
		case "top":
			text = strings.TrimSuffix(text, lastWord(text)) + "to " + cells["bottom"]
		case "end", "to", "direction", "bottom", "unit":
			continue
		case "water":
			if text == "yes" {
				continue
			}
			if text == "no" {
				text = "dry"
			} else {
				text += " water"
			}
		case "available":
			text += " available"
		case "reading":
			text = thousandsApart(text) + " " + cells["unit"]
		case "depth":
			text += " below ground"
		case "timer", "suction", "hay", "oil":
			text = key + " " + text
		}
		words = append(words, strings.TrimSpace(text))
	}
	return site.Row{Line: r.Line, Key: r.Text, Text: strings.Join(words, ", ")}
}

// dayWords is a day or a time as people write it; anything else as it is.
func dayWords(text string) string {
	if day, err := time.Parse(time.DateOnly, text[:min(len(text), 10)]); err == nil {
		clock := strings.Replace(text[10:], "T", " ", 1)
		return day.Format("Mon 2 Jan 2006") + clock
	}
	return text
}

// sinceDay is a time without its day where that is the day of another.
func sinceDay(text, other string) string {
	at, is := strings.LastIndexByte(text, ' '), strings.LastIndexByte(other, ' ')
	if at > 0 && is > 0 && text[:at] == other[:is] {
		return text[at+1:]
	}
	return text
}

func lastWord(text string) string { return text[strings.LastIndexByte(text, ' ')+1:] }

// thousandsApart sets commas into a whole number.
func thousandsApart(text string) string {
	whole, rest, point := strings.Cut(text, ".")
	if _, err := input.ParseNumber(text); err != nil || strings.Trim(whole, "0123456789") != "" {
		return text
	}
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if point {
		whole += "." + rest
	}
	return whole
}

// columnUnit splits the unit off a column's name; none where it has none.
func columnUnit(name string) (key, unit string) {
	at := strings.LastIndexByte(name, '_')
	if at < 0 {
		return name, ""
	}
	switch suffix := name[at+1:]; suffix {
	case "deg":
		return name[:at], "°"
	case "pct":
		return name[:at], " %"
	case "in", "mm", "ft", "m", "cm", "lb", "kg", "kpa", "cb", "psi", "t", "g":
		return name[:at], " " + suffix
	}
	return name, ""
}
