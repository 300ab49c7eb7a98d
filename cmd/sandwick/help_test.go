// Help: every example that it shows is run as it stands, on a farm just begun.

package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
)

// Files that examples read, as a gauge, a station and a panel might export them.
var exampleFiles = map[string]string{
	"record import rain":    "date,place,amount_in\n2025-06-10,North mint,0.2\n",
	"record import weather": "date,tmax_f,tmin_f,rhmax_pct,rhmin_pct,wind_mph,solar_langley,rain_in\n2025-06-13,78,55,90,45,6,610,0\n",
	"record import passes":  "pivot,time,azimuth_deg,timer_pct,water_on\nNorth pivot,2025-06-12T06:00,90,42,yes\nNorth pivot,2025-06-12T10:00,120,42,yes\nNorth pivot,2025-06-12T10:10,120,0,no\n",
}

func TestHelpExamplesRun(t *testing.T) {
	ran := 0
	run := func(t *testing.T, line string) {
		t.Helper()
		args, ours := programArgs(line)
		if !ours {
			t.Fatalf("%q does not call the program", line)
		}
		if !strings.Contains(line, "myfarm") {
			args = append(args, "--farm", "myfarm")
		}
		var out bytes.Buffer
		p := testProgram(time.Date(2025, 6, 13, 17, 0, 0, 0, time.UTC))
		if status := p.run(context.Background(), args, strings.NewReader(""), &out, &out); status != exitDone {
			t.Errorf("`%s`: exit status %d\n%s", line, status, out.String())
		}
		ran++
	}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		name := strings.TrimPrefix(c.CommandPath(), "sandwick ")
		switch {
		case name == "completion" || name == "help":
			return
		case c.Example == "":
			t.Errorf("%s: help shows no example", c.CommandPath())
		case c.Long == "" || c.Short == "":
			t.Errorf("%s: help says nothing", c.CommandPath())
		}
		t.Run(name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			if !strings.Contains(c.Example, "init myfarm") {
				run(t, "sandwick init myfarm")
			}
			if name == "record undo" {
				run(t, "sandwick record rain 0.1in --date 2025-06-12 --farm myfarm")
				run(t, "sandwick record rain 0.2in --farm myfarm")
			}
			if name == "record water-table" { // a farm just begun has no pipe
				zones, err := os.ReadFile("myfarm/zones.geojson")
				if err != nil {
					t.Fatal(err)
				}
				zones = bytes.Replace(zones, []byte(`"zone": "Marsh edge",`), []byte(`"zone": "Marsh edge", "pipe": "P1",`), 1)
				if err := os.WriteFile("myfarm/zones.geojson", zones, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			text, ok := exampleFiles[name]
			if !ok {
				text = exampleFiles["record import rain"]
			}
			for _, file := range []string{"export.csv", "gauge.csv"} {
				if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			for line := range strings.Lines(c.Example) {
				if strings.Contains(line, " serve") {
					continue // runs until it is stopped
				}
				run(t, strings.TrimSpace(line))
			}
		})
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(testProgram(time.Now()).rootCommand())
	if ran < 30 {
		t.Errorf("only %d examples run", ran)
	}
}
