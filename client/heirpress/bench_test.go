package main

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// BenchmarkColdFind is a whole process, from its start to the printed result, on
// a registry of 10,000 lots that another process has written.
func BenchmarkColdFind(b *testing.B) {
	dir := b.TempDir()
	program := filepath.Join(dir, "heirpress")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	data := filepath.Join(dir, "data")
	fill(b, data)
	b.ResetTimer()
	for b.Loop() {
		out, err := exec.Command(program, "--data", data, "find", "platen", "--near", "Dayton, OH", "--within", "300mi").Output()
		if err != nil || !strings.Contains(string(out), " by road ") {
			b.Fatalf("%v\n%s", err, out)
		}
	}
}

// fill posts ten shops of 1,000 lots.
func fill(b *testing.B, data string) {
	b.Helper()
	things := []string{
		"platen jobber,Halvorsen platen jobber,10x15", "wood type,gothic wood type,12 line", "metal type,old style roman,24pt",
		"cuts,zinc cuts of fruit,", "cylinder proof press,Corwen proof press,17x25", "type cabinet,oak cabinet of cases,", "bench cutter,lever cutter,",
	}
	towns := []string{
		"Dayton, OH", "Columbus, OH", "Pittsburgh, PA", "Ann Arbor, MI", "Boise, ID", "Austin, TX", "Leeds, England", "Portland, OR", "Albany, NY", "Tampa, FL",
	}
	chance := rand.New(rand.NewPCG(1, 2))
	for n, town := range towns {
		sheet := "tag,kind,title,size,price,description\n"
		for i := range 1000 {
			sheet += fmt.Sprintf("L%d,%s,$%d,number %d of the shop\n", i, things[chance.IntN(len(things))], chance.IntN(2000), chance.IntN(400))
		}
		path := filepath.Join(b.TempDir(), "sheet.csv")
		if err := os.WriteFile(path, []byte(sheet), 0o600); err != nil {
			b.Fatal(err)
		}
		args := []string{"--data", data, "post", path, "--shop", fmt.Sprint("Shop ", n), "--place", town}
		if code := run(b.Context(), args, io.Discard, os.Stderr); code != exitDone {
			b.Fatalf("posting ended with %d", code)
		}
	}
}
