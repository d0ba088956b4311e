"""The plans of these tests: our own invention. CRLF line ends, letters outside of the Basic Multilingual Plane in names,
comments and texts (they take four columns of UTF-8, two of UTF-16, one of UTF-32)."""

STOCK = """\
# \U0001f4e6 The drawer: what several models share.
wire hook gauge 26 AWG insulation pvc outer 1.2 mm colours red, black
wire fine gauge 32 AWG insulation enamel colours red, green
tape warm
  group 3 lamps long 25 mm
  works 9 V to 12.6 V
  draws 18 mA at 12 V
  colour warm-white
led pearl drops 3.0 V at 20 mA limit 25 mA colour white
led ruby  drops 2.0 V at 20 mA limit 25 mA colour red
module blinker
  works 6 V to 13 V
  draws 3 mA
  output a 60 mA flash 1 Hz
"""

# A tug with nothing to be said against it.
TUG = """\
use "stock.harness"
harness "Tug \U0001f6a2, 1:50"
supply adapter 12 V 1 A
fuse   F1 400 mA                         from adapter
joint  keel                              from F1      over 150 mm of hook
joint  \U00020bb7-deck                           from keel    over 80 mm of fine # \U0001f526 \U00020bb7, the upper deck
lamp   \U00020bb7-1   of pearl resistor 560 ohm  from \U00020bb7-deck over 60 mm of fine
lamp   stern  of ruby  resistor 560 ohm  from \U00020bb7-deck over 90 mm of fine
lamp   bow    of pearl resistor 560 ohm  from keel    over 120 mm of fine
strip  saloon of warm 6 lamps            from keel    over 70 mm of fine
board  blink  of blinker                 from keel    over 40 mm of fine
lamp   top    of ruby  resistor 560 ohm  from blink.a over 90 mm of fine
scene  dusk  off stern
scene  night off bow,
  \U00020bb7-1
""".replace("\n", "\r\n")

# With two slips of the pen: a figure, and a name that is nowhere.
FAULTY = TUG.replace("1 A\r\n", "1,5 A\r\n").replace("from blink.a", "from blnk.a")

# It can be read, but not built: a chain, resistors that no shop has and that give too much, a fuse that never blows.
TIRED = (
    TUG.replace("from keel    over 120 mm of fine", "from saloon  over 120 mm of fine")
    .replace("ruby  resistor 560 ohm", "ruby  resistor 440 ohm")
    .replace("F1 400 mA", "F1 5 A")
)
