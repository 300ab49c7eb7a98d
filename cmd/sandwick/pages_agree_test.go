// The same number is the same on every page.

package main

import (
	"bytes"
	"context"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// groundRow is a row of the table of a pivot's ground: zone, then what is in it.
var groundRow = regexp.MustCompile(`<tbody><tr><th scope="row">([^<]+)</th>(?:<td class="do[^>]*>[^<]*</td>)?<td class="n">([^<]*)</td><td class="n">([^<]*)</td>`)

// ground gives depletion and trigger of every zone, in the order of the page.
func ground(page string) []string {
	list := []string{}
	for _, part := range strings.Split(page, "The ground as the day begins")[1:] {
		part, _, _ = strings.Cut(part, "</table>")
		for _, m := range groundRow.FindAllStringSubmatch(part, -1) {
			list = append(list, strings.Join(m[1:], " "))
		}
	}
	return list
}

func TestPagesAgreeOnTheGround(t *testing.T) {
	starter := filepath.Join(t.TempDir(), "starter")
	run := func(args ...string) string {
		p := testProgram(time.Date(2025, 7, 19, 11, 0, 0, 0, time.UTC))
		var out, errs bytes.Buffer
		if status := p.run(context.Background(), args, strings.NewReader(""), &out, &errs); status != 0 {
			t.Fatalf("%v: exit %d: %s", args, status, errs.String())
		}
		return out.String()
	}
	run("init", starter, "--example")
	for _, farm := range []string{filepath.Join("..", "..", "testdata", "demo"), starter} {
		want := ground(run("plan", "--farm", farm, "--html", "-"))
		if len(want) < 2 {
			t.Fatalf("%s: no ground on the plan's page", farm)
		}
		for _, command := range []string{"status", "season"} {
			if got := ground(run(command, "--farm", farm, "--html", "-")); strings.Join(got, "\n") != strings.Join(want, "\n") {
				t.Errorf("%s: the page of the %s has the ground at\n%s\nthat of the plan at\n%s", farm, command, strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
		}
	}
}

// What is estimated is told place by place nowhere: one line for what is alike.
func TestSeasonPageTellsEstimatesAsTheTextDoes(t *testing.T) {
	farm := filepath.Join("..", "..", "testdata", "demo")
	run := func(args ...string) string {
		p := testProgram(time.Date(2025, 7, 19, 11, 0, 0, 0, time.UTC))
		var out, errs bytes.Buffer
		if status := p.run(context.Background(), append([]string{"season", "--farm", farm}, args...), strings.NewReader(""), &out, &errs); status != 0 {
			t.Fatalf("%v: exit %d: %s", args, status, errs.String())
		}
		return out.String()
	}
	_, text, _ := strings.Cut(run(), "* ESTIMATED")
	text, _, _ = strings.Cut(text, "\n\n")
	rows := regexp.MustCompile(`(?m)^  \S`).FindAllString(text, -1)
	_, page, _ := strings.Cut(run("--html", "-"), "Estimated: how much")
	page, _, _ = strings.Cut(page, "</ul>")
	if n := strings.Count(page, "<li>"); len(rows) < 3 || n != len(rows)-1 { // less the row of heads
		t.Errorf("the page has %d lines of what is estimated, the text %d rows\n%s", n, len(rows)-1, text)
	}
}
