"""The small vocabularies of the tables. Common practice, no source.

German, French, Spanish and Chinese words stand beside the English ones where tables have them.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from revdiff.quantities.text import squeeze

# What people put where they have nothing to say.
PLACEHOLDERS = frozenset(
    {"", "-", "--", "---", "–", "—", "~", "\\-", "n/a", "na", "n.a.", "?", "??", "tbd", "none", ".", "/", "*"}
)
UNUSED_SIGNAL = frozenset(
    {"", "-", "--", "–", "—", "~", "\\-", "nc", "n/c", "n.c.", "not connected", "no connect", "unconnected"}
    | {"unused", "not used", "n/a", "nicht verbunden", "unbenutzt", "non connecté", "no conectado", "悬空", "空"}
)
YES = frozenset(
    {"yes", "y", "true", "1", "x", "fitted", "fit", "populated", "populate", "mounted", "placed", "place", "✓", "✔"}
    | {"stuffed", "installed", "assembled", "ja", "j", "oui", "o", "sí", "si", "是", "贴", "bestückt", "monté"}
)
NO = frozenset({"no", "n", "false", "0", "nein", "non", "否"})
# Signs of a part that isn't fitted, beyond those that read_value_cell knows.
UNFITTED = frozenset(
    {"dnp", "dni", "dnf", "dns", "dnm", "nf", "n/f", "nm", "np", "ni", "omit", "omitted", "nofit", "no fit", "nopop"}
    | {"unfitted", "unpopulated", "not fitted", "not mounted", "not populated", "not placed", "not installed"}
    | {"do not place", "do not fit", "do not populate", "do not install", "do not mount", "exclude", "excluded"}
    | {
        "nicht bestückt",
        "nicht bestücken",
        "unbestückt",
        "n.b.",
        "nicht bestueckt",
        "unbestueckt",
        "non monté",
        "ne pas monter",
        "no montado",
    }
    | {"no montar", "no poblar", "sin montar", "不贴", "不贴装", "不焊", "不焊接"}
)


def _words(table: Mapping[str, str]) -> Mapping[str, str]:
    return MappingProxyType({squeeze(name): word for word, names in table.items() for name in names.split(",")})


DIRECTIONS = _words(
    {
        "in": "in,i,input,inp,digital in,digital input,din,eingang,entrée,entrada,输入",
        "out": "out,o,output,outp,digital out,digital output,dout,push pull,out pp,ausgang,sortie,salida,输出",
        "bidirectional": "bidirectional,io,i/o,inout,in/out,bidi,bidir,tristate,tri state,in out,bidirektional,"
        "bidirectionnel,bidireccional,双向",
        "open drain": "open drain,od,open collector,oc,out od,opendrain,open drain io,io od,开漏",
        "analog in": "analog in,analogue in,ain,analog,analogue,analog input,analogue input,adc,analogeingang,模拟输入",
        "analog out": "analog out,analogue out,aout,analog output,analogue output,dac,analogausgang,模拟输出",
        "supply": "supply,power,pwr,rail,p,versorgung,alimentation,alimentación,电源",
        "supply in": "supply in,power in,pwr in,power input,supply input",
        "supply out": "supply out,power out,pwr out,power output,supply output",
        "ground": "ground,gnd,return,0v,vss,masse,tierra,地",
        "passive": "passive,pas,analog passive,passiv,passif,pasivo",
    }
)
ACTIVE = _words(
    {
        "high": "high,h,active high,1,hi,positive,pos,non inverted,aktiv high,高,高电平",
        "low": "low,l,active low,0,lo,negative,neg,inverted,aktiv low,低,低电平",
    }
)
GENDERS = _words(
    {
        "male": "male,m,pin,pins,header,pin header,plug,stift,stiftleiste,mâle,macho,公",
        "female": "female,f,socket,receptacle,pin socket,socket strip,buchse,buchsenleiste,femelle,hembra,母",
    }
)
ROLES = _words(
    {
        "joint": "joint,stack,stacking,board to board,mezzanine,mating,edge,edge joint",
        "outside": "outside,outside world,external,field,cable,user,wire,off board",
        "debug": "debug,test,programming,service",
    }
)
PULLS: Mapping[str, str] = MappingProxyType(
    {"up": "up", "pu": "up", "u": "up", "上拉": "up", "down": "down", "pd": "down", "d": "down", "下拉": "down"}
)

# How the contacts of a connector are numbered, and from where the drawing shows it.
NUMBERINGS = _words(
    {
        "row-wise": "row-wise,rows,sequential,zeilenweise",
        "zig-zag": "zig-zag,odd even,odd/even,zickzack",
        "counter-clockwise": "counter-clockwise,ccw,dil,dip,gegen den uhrzeigersinn",
    }
)
VIEWS = _words({"top": "top,top view,von oben", "mating face": "mating face,mating,face,steckseite"})
BOARD_SIDES = _words({"top": "top,t,oben", "bottom": "bottom,b,bot,unten"})
DRIVES = _words(
    {
        "releasing": "tristate,tri-state,high impedance,high-z,hi-z",
        "open drain": "open drain,open collector,od,oc",
        "push-pull": "push-pull,totem pole,pp",
    }
)
POWER_ON = _words(
    {
        "high": "high,h",
        "low": "low,l",
        "high impedance": "high impedance,high-z,hi-z,z,input,in,off,floating,tristate,float",
    }
)
TOLERANT = frozenset({"ft"})

# The words of each way of reading a cell that rules can judge.
KNOWN: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "direction": frozenset(DIRECTIONS.values()),
        "active": frozenset(ACTIVE.values()),
        "gender": frozenset(GENDERS.values()),
        "numbering": frozenset(NUMBERINGS.values()),
        "view": frozenset(VIEWS.values()),
        "board side": frozenset(BOARD_SIDES.values()),
        "power-on": frozenset(POWER_ON.values()),
    }
)
