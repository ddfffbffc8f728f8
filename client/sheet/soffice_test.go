package sheet

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

// convert has LibreOffice open a file and save it in another format.
func convert(t *testing.T, path, format string) []byte {
	t.Helper()
	soffice, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("LibreOffice is not here")
	}
	dir := t.TempDir()
	cmd := exec.Command(soffice, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--convert-to", format, "--outdir", filepath.Join(dir, "out"), path)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	files, err := filepath.Glob(filepath.Join(dir, "out", "*"))
	if err != nil || len(files) != 1 {
		t.Fatalf("it wrote %v, %v", files, err)
	}
	body, err := os.ReadFile(files[0])
	must(t, err)
	return body
}

// Another program opens our workbooks, and what it saves reads back the same,
// with its numbers as numbers.
func TestOtherProgramsOpenWorkbooks(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes some seconds to start another program")
	}
	lots := demoLots(t)
	path := filepath.Join(t.TempDir(), "shop.xlsx")
	var b bytes.Buffer
	must(t, Write(&b, XLSX, nil, lots))
	must(t, os.WriteFile(path, b.Bytes(), 0o600))
	csv := `csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false`
	for _, as := range []struct{ name, format string }{{"back.xlsx", "xlsx"}, {"back.csv", csv}} {
		s, err := Read(as.name, bytes.NewReader(convert(t, path, as.format)))
		must(t, err)
		if len(s.Bad) > 0 || len(s.Lots) != len(lots) {
			t.Fatalf("%s: %d lots came back of %d; bad: %v", as.name, len(s.Lots), len(lots), s.Bad)
		}
		for i, r := range s.Lots {
			if !proto.Equal(r.Lot, lots[i]) {
				t.Errorf("%s: came back as\n%v\nand was\n%v", as.name, r.Lot, lots[i])
			}
		}
	}
}

// demoLots are the lots of a demo sheet that a table can hold, with texts that
// programs like to make something else of.
func demoLots(t *testing.T) []*pb.Lot {
	body := "tag,kind,title,description,serial,size,count,weight,width,condition,missing,price\n" +
		"007,press,=1+1,\"two\nlines, \"\"quoted\"\"\",3/4,10x15,,\"1,350 lb\",46 in,working: a bit stiff,rollers,900\n" +
		"10-12,stones,Stein groß 漢,,1E5,24x36x2,3,612 lb,36.5 in,,none,1250.50\n" +
		"-103,tools,  _x0041_ TRUE,,true,5/12,12,weighed 5 lb,,as it is,,free\n"
	s := readString(t, "x.csv", body)
	if len(s.Bad) > 0 {
		t.Fatal(s.Bad)
	}
	var lots []*pb.Lot
	for _, r := range append(s.Lots, demoSheet(t, "tolliver.csv").Lots...) {
		lots = append(lots, r.Lot)
	}
	return lots
}
