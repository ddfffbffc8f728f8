package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	pb "heirpress/proto/heirpress/v1"
)

// daemon is a heirpressd under way, and a connection to it.
type daemon struct {
	cmd     *exec.Cmd
	ended   chan error
	log     *os.File
	address string
	conn    *grpc.ClientConn
	shops   pb.ShopServiceClient
	lots    pb.LotServiceClient
	search  pb.SearchServiceClient
	// started is when its process was, and ready when it said that it listens.
	started, ready time.Time
}

// buildDaemon builds heirpressd from this source.
func buildDaemon(ctx context.Context, dir string) (program string, err error) {
	program = filepath.Join(dir, "heirpressd")
	out, err := exec.CommandContext(ctx, "go", "build", "-o", program, "heirpress/server/heirpressd").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("heirpressd cannot be built: %w\n%s", err, out)
	}
	return program, nil
}

// startDaemon starts heirpressd on a data folder. Its log goes beside it.
func startDaemon(program, data string) (*daemon, error) {
	log, err := os.OpenFile(data+".log", os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, err
	}
	d := &daemon{log: log, ended: make(chan error, 1)}
	d.cmd = exec.Command(program, "--listen", "127.0.0.1:0", "--data", data, "--log-level", "warn")
	d.cmd.Stderr = log
	out, err := d.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	d.started = time.Now()
	if err := d.cmd.Start(); err != nil {
		return nil, err
	}
	lines := bufio.NewReader(out)
	line, err := lines.ReadString('\n')
	d.ready = time.Now()
	go func() {
		_, _ = io.Copy(io.Discard, lines) // to its end, before Wait closes it
		d.ended <- d.cmd.Wait()
	}()
	words := strings.Fields(line)
	if err != nil || len(words) == 0 {
		_ = d.stop()
		return nil, fmt.Errorf("heirpressd did not start: see %s", log.Name())
	}
	d.address = words[len(words)-1]
	if err := d.connect(); err != nil {
		_ = d.stop()
		return nil, err
	}
	return d, nil
}

func (d *daemon) connect() (err error) {
	if d.conn, err = dialDaemon(d.address); err != nil {
		return err
	}
	d.shops, d.lots, d.search = pb.NewShopServiceClient(d.conn), pb.NewLotServiceClient(d.conn), pb.NewSearchServiceClient(d.conn)
	return nil
}

func dialDaemon(address string) (*grpc.ClientConn, error) {
	return grpc.NewClient(address, grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(64<<20)))
}

const stopTime = 30 * time.Second

// stop ends the daemon in order, and if need be by force.
func (d *daemon) stop() error {
	if d.conn != nil {
		_ = d.conn.Close()
	}
	defer func() { _ = d.log.Close() }()
	return end(d.cmd.Process, d.ended, stopTime)
}
