package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"go.yaml.in/yaml/v3"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
)

func (a *app) contact() *cobra.Command {
	var file string
	var forget bool
	c := &cobra.Command{
		Use:   "contact [SHOP]",
		Short: "where you, or a shop, can really be reached: kept sealed",
		Long: `Show, or with --set write, the street address, telephone number and e-mail address of
a shop, or of yourself if you name no shop. They are kept sealed, apart from all
that is public. Who sees them: the shop's keeper and go-betweens, or for your own
only you; and the other side of an introduction that was answered with yes.

They are read from a file, or with --set - from standard input, and are never part
of the command, which others on your machine may see. The file is YAML with any of

  person: Odile Marrowby
  address: 41 Quince Lane, back door
  phone: +1 555 0134
  email: odile@example.org
  note: ring twice
  point: 39.7612, -84.1977
  town: Dayton, OH

point is for who comes with the truck. town is for yourself only, and needed before
you ask for an introduction: it is what the keeper is told.`,
		Example: `  heirpress contact --set me.yaml
  heirpress contact marrowby-job-printing-k3q7z --set shop.yaml
  heirpress contact marrowby-job-printing-k3q7z
  heirpress contact --forget`,
		Args: words(0, 1, "one shop, or none for yourself"),
		RunE: func(c *cobra.Command, args []string) error {
			if file != "" && forget {
				return wrongUsage(c, "--set and --forget cannot both be meant: give one of the two")
			}
			shop := strings.Join(args, "")
			return a.with(c.Context(), func(conn *client.Client) error { return a.contactDo(c, conn, shop, file, forget) })
		},
	}
	c.Flags().StringVar(&file, "set", "", "read the contact from this `file`, or - for standard input")
	c.Flags().BoolVar(&forget, "forget", false, "take it away")
	return c
}

func (a *app) contactDo(c *cobra.Command, conn *client.Client, shop, file string, forget bool) error {
	if forget {
		if err := conn.ForgetContact(c.Context(), shop); err != nil {
			return err
		}
		a.note("It is forgotten. Copies in backups can be read for as long as the key of that time is kept.")
		return nil
	}
	if file == "" {
		got, err := conn.Contact(c.Context(), shop)
		if err != nil {
			return err
		}
		return a.printContact(got)
	}
	p, err := readContactFile(c.InOrStdin(), file)
	if err != nil {
		return err
	}
	return a.setContact(c.Context(), conn, shop, p)
}

func (a *app) setContact(ctx context.Context, conn *client.Client, shop string, p *pb.PrivatePlace) error {
	got, err := conn.SetContact(ctx, shop, p)
	if err != nil {
		return err
	}
	return a.printContact(got)
}

func readContactFile(stdin io.Reader, file string) (*pb.PrivatePlace, error) {
	from := stdin
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return nil, unreadable(file, err)
		}
		defer f.Close()
		from = f
	}
	p, err := readContact(from)
	if err != nil {
		return nil, &usageError{message: file + ": " + err.Error()}
	}
	return p, nil
}

// contactFile is a contact as people write it.
type contactFile struct {
	Person  string `yaml:"person"`
	Address string `yaml:"address"`
	Phone   string `yaml:"phone"`
	Email   string `yaml:"email"`
	Note    string `yaml:"note"`
	Point   string `yaml:"point"`
	Town    string `yaml:"town"`
}

const mostContact = 64 << 10 // bytes of a file

// readContact reads a contact. Its errors repeat nothing of what is in it.
func readContact(from io.Reader) (*pb.PrivatePlace, error) {
	var f contactFile
	d := yaml.NewDecoder(io.LimitReader(from, mostContact))
	d.KnownFields(true)
	if err := d.Decode(&f); err != nil {
		return nil, errors.New("is not a contact: it has to be YAML of person, address, phone, email, note, point and town, each with a text")
	}
	p := &pb.PrivatePlace{Person: f.Person, Address: f.Address, Phone: f.Phone, Email: f.Email, Note: f.Note, Place: f.Town}
	if f.Point == "" {
		return p, nil
	}
	var err error
	p.Point, err = readPoint(f.Point)
	return p, err
}

func readPoint(text string) (*pb.PrivatePoint, error) {
	lat, lng, two := strings.Cut(text, ",")
	latitude, err := strconv.ParseFloat(strings.TrimSpace(lat), 64)
	longitude, err2 := strconv.ParseFloat(strings.TrimSpace(lng), 64)
	if !two || err != nil || err2 != nil {
		return nil, errors.New("point: write latitude and longitude in degrees, as 39.7612, -84.1977")
	}
	return &pb.PrivatePoint{Latitude: latitude, Longitude: longitude}, nil
}

func (a *app) printContact(p *pb.PrivatePlace) error {
	if a.json {
		return a.printJSON(p)
	}
	a.contactLines(p)
	return nil
}

// contactLines print a contact, a line for each thing that is said.
func (a *app) contactLines(p *pb.PrivatePlace) {
	a.line("person", p.GetPerson())
	a.line("address", strings.ReplaceAll(strings.TrimSpace(p.GetAddress()), "\n", ", "))
	a.line("phone", p.GetPhone())
	a.line("email", p.GetEmail())
	a.line("note", p.GetNote())
	if p.GetPoint() != nil {
		a.line("point", fmt.Sprintf("%.5f, %.5f", p.GetPoint().GetLatitude(), p.GetPoint().GetLongitude()))
	}
	a.line("town", p.GetTown().GetLabel())
}
