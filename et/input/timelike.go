// Times in the order and with the marks that other programs use.

package input

import (
	"errors"
	"fmt"
	"strings"
)

// timeWords are what a format is made of; everything else in it stands for itself.
var timeWords = []string{"year", "month", "day", "hour", "minute", "second", "half"}

// ParseTimeLike reads a local time that is written like format, in which the
// words year, month, day, hour, minute and second stand for numbers and half
// for AM or PM:
//
//	month/day/year hour:minute half
//
// It gives the time in the ISO form that [ParseClock] reads. An empty format is
// that form itself. See [CheckTimeFormat] for a format that is wrong.
func ParseTimeLike(text, format string) (iso string, err error) {
	if format == "" {
		return text, nil
	}
	parts, err := timeParts(format)
	if err != nil {
		return "", err
	}
	wrong := fmt.Errorf("not a time like %q", format)
	n := map[string]int{}
	rest := text
	for _, p := range parts {
		switch {
		case p == "half":
			switch h := strings.ToLower(strings.ReplaceAll(rest, ".", "")); {
			case strings.HasPrefix(h, "am"):
				n[p] = 1
			case strings.HasPrefix(h, "pm"):
				n[p] = 2
			default:
				return "", wrong
			}
			rest = strings.TrimLeft(rest, "AaPpMm.")
		case isTimeWord(p):
			k := 0
			for k < len(rest) && k < 4 && rest[k] >= '0' && rest[k] <= '9' && (k < 2 || p == "year") {
				k++
			}
			v, ok := digits(rest[:k])
			if !ok || p == "year" && k != 4 {
				return "", wrong
			}
			n[p], rest = v, rest[k:]
		default:
			after, ok := strings.CutPrefix(rest, p)
			if !ok {
				return "", wrong
			}
			rest = after
		}
	}
	if rest != "" {
		return "", wrong
	}
	switch half := n["half"]; {
	case half == 0:
	case n["hour"] < 1 || n["hour"] > 12:
		return "", errors.New("no such time; with AM or PM the hours run from 1 to 12")
	default:
		n["hour"] = n["hour"]%12 + 12*(half-1)
	}
	return fmt.Sprintf("%04d-%02d-%02dT%02d:%02d:%02d", n["year"], n["month"], n["day"], n["hour"], n["minute"], n["second"]), nil
}

// CheckTimeFormat tells what is wrong with a format for [ParseTimeLike].
func CheckTimeFormat(format string) error {
	if format == "" {
		return nil
	}
	_, err := timeParts(format)
	return err
}

func isTimeWord(s string) bool {
	for _, w := range timeWords {
		if s == w {
			return true
		}
	}
	return false
}

// timeParts takes a format apart into words and what stands between them.
func timeParts(format string) ([]string, error) {
	var parts []string
	has := map[string]bool{}
	plain := ""
	for i := 0; i < len(format); {
		word := ""
		for _, w := range timeWords {
			if strings.HasPrefix(format[i:], w) {
				word = w
			}
		}
		if word == "" {
			plain += format[i : i+1]
			i++
			continue
		}
		if has[word] {
			return nil, fmt.Errorf("%s stands twice in it", word)
		}
		has[word] = true
		if plain != "" {
			parts, plain = append(parts, plain), ""
		}
		parts = append(parts, word)
		i += len(word)
	}
	if plain != "" {
		parts = append(parts, plain)
	}
	for _, w := range []string{"year", "month", "day", "hour", "minute"} {
		if !has[w] {
			return nil, fmt.Errorf("%s is missing from it; a format is made of the words %s", w, strings.Join(timeWords, ", "))
		}
	}
	return parts, nil
}
