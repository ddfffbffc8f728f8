//go:build unix

package server_test

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/store/backup"
	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
	"heirpress/server/store/sqlite"
)

var keep = flag.Bool("keep", false, "write the backups of this version's schemas to testdata/store")

// keptBackup is a backup of a registry of a released schema.
func keptBackup(engine string, version int) string {
	return fmt.Sprintf("../testdata/store/%s-v%d.backup", engine, version)
}

// tellStory makes a registry with two lots, of which one was changed, and a want
// that both have met, of which one alert was acknowledged.
func tellStory(t *testing.T, c server.Config) {
	t.Helper()
	r := openWith(t, c)
	defer r.stop()
	r.lodge(t, wanting("Two Stoats", "platen"))
	shop := r.shop(t, "The kept", "Dayton, OH")
	first, _ := r.lot(t, shop, platen("K1"))
	_, change := r.lot(t, shop, platen("K2"))
	inbox := r.inbox(t, change)
	if len(inbox) != 2 {
		t.Fatalf("%d alerts, want 2", len(inbox))
	}
	if _, err := r.alerts.AcknowledgeAlert(t.Context(), &pb.AcknowledgeAlertRequest{Name: inbox[0].GetName()}); err != nil {
		t.Fatal(err)
	}
	first.State = pb.LotState_LOT_STATE_PROMISED
	if _, err := r.lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{Lot: first, UpdateMask: &fieldmaskpb.FieldMask{Paths: []string{"state"}}}); err != nil {
		t.Fatal(err)
	}
}

// checkStory looks for that story in a registry that was restored.
func checkStory(t *testing.T, c server.Config) {
	t.Helper()
	r := openWith(t, c)
	defer r.stop()
	shops, err := r.shops.ListShops(t.Context(), &pb.ListShopsRequest{Title: "The kept"})
	if err != nil || len(shops.GetShops()) != 1 {
		t.Fatalf("the shop: %v, %v", shops, err)
	}
	_, change := r.lot(t, shops.GetShops()[0], platen("K3"))
	found := r.find(t, &pb.LotFilter{Words: "platen"}, change)
	if len(found) != 2 { // the first is promised, and not offered any more
		t.Errorf("%d lots found, want 2", len(found))
	}
	var told []string
	for _, a := range r.inbox(t, change) {
		told = append(told, a.GetLot().GetTag())
	}
	if fmt.Sprint(told) != "[K2 K3]" {
		t.Errorf("the inbox has %v, want K2 as it was and K3", told)
	}
}

// TestEveryBackup restores a backup of every schema that was released, into both
// engines. After a new migration: go test ./server -run EveryBackup -keep
func TestEveryBackup(t *testing.T) {
	schemas := map[string]int{"sqlite": sqlite.SchemaVersion, "postgres": postgres.SchemaVersion}
	if *keep {
		keepBackups(t, schemas)
	}
	for engine, newest := range schemas {
		for version := range newest {
			file := keptBackup(engine, version+1)
			dir := t.TempDir()
			restore(t, dir, "", file)
			checkStory(t, server.Config{Dir: dir})
			address := pgtest.Shared(t).Schema()
			restore(t, "", address, file)
			checkStory(t, server.Config{Dir: t.TempDir(), Store: address})
		}
	}
}

func keepBackups(t *testing.T, schemas map[string]int) {
	t.Helper()
	for engine, address := range map[string]string{"sqlite": "", "postgres": pgtest.Shared(t).Schema()} {
		dir := t.TempDir()
		tellStory(t, server.Config{Dir: dir, Store: address})
		s, err := server.OpenStore(t.Context(), dir, address)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := backup.Save(t.Context(), s, keptBackup(engine, schemas[engine])); err != nil {
			t.Fatal(err)
		}
		s.Close()
	}
}

func restore(t *testing.T, dir, address, file string) {
	t.Helper()
	if _, err := server.Restore(t.Context(), dir, address, file); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
}

// TestRestoreRefused: a place that is not empty, and a file that is not whole,
// are refused, and nothing is changed.
func TestRestoreRefused(t *testing.T) {
	file := keptBackup("sqlite", 1)
	body, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	cut := filepath.Join(t.TempDir(), "cut")
	if err := os.WriteFile(cut, body[:len(body)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	address := pgtest.Shared(t).Schema()
	long := t.TempDir()
	tellStory(t, server.Config{Dir: t.TempDir(), Store: address})
	tellStory(t, server.Config{Dir: long})
	var full *server.NotEmptyError
	var damaged *backup.DamagedError
	if _, err := server.Restore(t.Context(), long, "", file); !errors.As(err, &full) {
		t.Errorf("over a folder in use: %v", err)
	}
	if _, err := server.Restore(t.Context(), "", address, file); err == nil || !strings.Contains(err.Error(), "the registry here has another change 1") {
		t.Errorf("over a database in use: %v", err)
	}
	for _, to := range []struct{ dir, address string }{{t.TempDir(), ""}, {"", pgtest.Shared(t).Schema()}} {
		if _, err := server.Restore(t.Context(), to.dir, to.address, cut); !errors.As(err, &damaged) {
			t.Errorf("half a file: %v", err)
		}
		restore(t, to.dir, to.address, file) // nothing is in the way
	}
}
