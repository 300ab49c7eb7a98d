// The guide is whole: every setting, property, column and command that the
// program knows is told of in README.md, and what the starting farm.toml shows
// in comments is understood when the comment is taken away.

package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"sandwick/fields/settings"
)

// sources joins the program's own files of a pattern, tests left out.
func sources(t *testing.T, pattern string) string {
	t.Helper()
	names, err := filepath.Glob(filepath.FromSlash("../../" + pattern))
	if err != nil || len(names) == 0 {
		t.Fatalf("%s: %v, %d files", pattern, err, len(names))
	}
	var b strings.Builder
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		b.Write(text)
	}
	return b.String()
}

func TestREADMETellsEverything(t *testing.T) {
	guide := sources(t, "README.md")
	words := regexp.MustCompile(`[a-z0-9_-]+`).FindAllString(guide, -1)
	tell := func(kind string, names [][]string, least int) {
		t.Helper()
		if len(names) < least {
			t.Errorf("only %d names of %s found in the code", len(names), kind)
		}
		for _, m := range names {
			name := m[len(m)-1]
			// A quantity is told with a unit at the end.
			if !slices.ContainsFunc(words, func(w string) bool { return w == name || strings.HasPrefix(w, name+"_") }) {
				t.Errorf("README.md does not tell of the %s %s", kind, name)
			}
		}
	}
	getters := regexp.MustCompile(`\.(text|needText|choice|name|flag|number|needNumber|whole|fraction|quantity|needQuantity|date|needDate|dates|list|texts|each|sub|must|moment)\("([a-z_]+)"`)
	tell("setting", getters.FindAllStringSubmatch(sources(t, "fields/settings/*.go"), -1), 90)
	columns := regexp.MustCompile(`csv:"([a-z_]+)"`)
	tell("column", columns.FindAllStringSubmatch(sources(t, "fields/records/*.go"), -1), 40)
	other := regexp.MustCompile(`var otherKeys = .*`).FindString(sources(t, "fields/zonemap/properties.go"))
	tell("property", regexp.MustCompile(`"([a-z_]+)"`).FindAllStringSubmatch(other, -1), 8)
	commands := [][]string{}
	root := testProgram(time.Now()).rootCommand()
	for _, c := range root.Commands() {
		commands = append(commands, []string{c.Name()})
		if c.Name() != "record" {
			continue
		}
		for _, sub := range c.Commands() {
			commands = append(commands, []string{sub.Name()})
		}
	}
	commands = slices.DeleteFunc(commands, func(c []string) bool { return c[0] == "help" })
	tell("command", commands, 20)
	for _, file := range []string{"undone.csv", ".lock", ".state"} {
		if !strings.Contains(guide, "`records/"+file+"`") {
			t.Errorf("README.md does not tell of records/%s", file)
		}
	}
}

func TestStarterCommentsAreUnderstood(t *testing.T) {
	text := sources(t, "cmd/sandwick/internal/starter/farm/farm.toml")
	lines := strings.Split(text, "\n")
	setting := regexp.MustCompile(`^# (\[[a-z.]+\]$|[a-z_]+ = )`)
	opened := 0
	for i, line := range lines {
		if setting.MatchString(line) {
			lines[i] = strings.TrimPrefix(line, "# ")
			opened++
		}
	}
	if opened < 20 {
		t.Errorf("only %d settings shown in comments", opened)
	}
	if _, problems, _ := settings.Read(settings.File, []byte(strings.Join(lines, "\n"))); len(problems) > 0 {
		t.Errorf("with its comments taken away:\n%v", problems)
	}
	for _, key := range []string{"hour_ending", "skip_lines", "reach_plus_minus_ft", "water_table_plus_minus_ft", "[outlook]", "[probes]", "[imports.", "meter = ", "multiplier"} {
		if !strings.Contains(text, key) {
			t.Errorf("the starting farm.toml does not show %s", key)
		}
	}
}

// Settings shown in the guide are settings: they read after those of a farm begun.
func TestREADMESettingsAreUnderstood(t *testing.T) {
	blocks := regexp.MustCompile("(?s)\n```toml\n(.*?)```").FindAllStringSubmatch(sources(t, "README.md"), -1)
	if len(blocks) == 0 {
		t.Error("README.md shows no settings")
	}
	for _, b := range blocks {
		text := sources(t, "cmd/sandwick/internal/starter/farm/farm.toml") + "\n" + b[1]
		if _, problems, _ := settings.Read(settings.File, []byte(text)); len(problems) > 0 {
			t.Errorf("%s\n%v", b[1], problems)
		}
	}
}
