"""Pins of controllers, and what firmware relies on at them, column by column.

Of every column all spellings that are accepted, in English, German, French, Spanish and Chinese (common practice, no
source).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from revdiff.design.fields import column
from revdiff.design.origin import Origin
from revdiff.design.parts import Extra
from revdiff.design.reading import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """One pin of a controller or module. ``doubled``: its names that use it otherwise, as outputs or in functions."""

    device: str
    number: str
    port: Reading = column(
        "port,port name,pin name,gpio,port pin,pad name,portname,pinname,nom de broche,nom du port,nombre de pin,"
        "puerto,引脚名,引脚名称,管脚名称,端口",
        bound="place",
        kind="pin.port",
    )
    signal: Reading = column(
        "signal,net,net name,signal name,name,net label,label,signalname,netz,netzname,nom du signal,réseau,señal,"
        "nombre de señal,red,信号,信号名,信号名称,网络,网络名",
        cell="signal",
        seen_by="stacking,firmware",
    )
    function: Reading = column(
        "function,peripheral,peripheral function,alternate function,af,mode,alt function,funktion,fonction,función,"
        "功能,复用功能",
        kind="pin.function",
        todo="set up {new} instead of {old}",
    )
    direction: Reading = column(
        "direction,dir,i/o,io type,type,pin type,electrical type,richtung,sens,dirección,sentido,方向",
        cell="direction",
        kind="pin.direction",
        seen_by="stacking,firmware",
        todo="make it {new} instead of {old}",
    )
    active: Reading = column(
        "active,active level,polarity,active state,aktiv,aktivpegel,actif,activo,有效电平",
        cell="active",
        kind="pin.active",
        seen_by="stacking,firmware",
        todo="it is active {new} now: invert it",
        said="active level",
    )
    pull: Reading = column(
        "pull,pull up down,pullup,pull resistor,bias,pu pd,pulls,pull up,pullwiderstand,tirage,上下拉,上拉下拉",
        cell="pull",
        kind="pin.pull",
        seen_by="stacking,firmware",
        todo="check the level before firmware runs, and the pull that is set: {new} instead of {old}",
    )
    level: Reading = column(
        "level,logic level,voltage,io voltage,voltage level,io level,domain,pegel,spannung,niveau,tension,nivel,"
        "tensión,电平,电压",
        unit="V",
        kind="pin.level",
        seen_by="stacking,firmware",
        todo="check thresholds and limits: {new} instead of {old}",
        said="logic level",
    )
    resistance: Reading = column(
        "series resistance,series resistor,rs,series r,serienwiderstand,résistance série,resistencia serie,串联电阻",
        unit="Ω",
        seen_by="stacking,firmware",
    )
    tolerant: Reading = column(
        "5V tolerant,5v tolerance,tolerance,tolerant to 5v,ft",
        cell="tolerant",
        bound="place",
        seen_by="stacking,firmware",
    )
    analog: Reading = column(
        "analog,analog channel,adc channel,adc,analogue channel,analogue,analogkanal,voie analogique,"
        "canal analógico,模拟通道",
        kind="pin.analog",
        bound="place",
        todo="measure on {new} instead of {old}",
        said="analog channel",
    )
    interrupt: Reading = column(
        "interrupt,interrupt line,irq,exti,irq line,int,interrupteingang,interruption,interrupción,中断",
        bound="place",
        todo="use {new} instead of {old}",
        said="interrupt line",
    )
    address: Reading = column(
        "address,addr,bus address,i2c address,adresse,dirección i2c,地址",
    )
    purpose: Reading = column(
        "purpose,use,usage,used as,used for,description,what for,comment,zweck,verwendung,beschreibung,utilisation,"
        "uso,descripción,用途,说明,描述",
    )
    family: Reading = column("family,logic family", kind="pin.level", seen_by="stacking,firmware")
    maximum: Reading = column(
        "maximum,absolute maximum,max voltage", unit="V", kind="pin.level", seen_by="stacking,firmware"
    )
    drive: Reading = column("drive,output drive", cell="drive", kind="pin.direction", seen_by="stacking,firmware")
    strap: Reading = column("strap,reset level", cell="active", seen_by="stacking,firmware")
    switches: Reading = column("switches,load", seen_by="stacking,firmware")
    note: Reading = column(
        "note,notes,remark,remarks,bemerkung,bemerkungen,anmerkung,anmerkungen,remarque,remarques,commentaire,nota,"
        "notas,observaciones,comentario,备注,注释",
    )
    extra: Extra = ()
    doubled: tuple[str, ...] = field(default=(), compare=False)
    origin: Origin = field(compare=False)

    @property
    def name(self) -> str:
        """What a person would say: ``U1.37``."""
        return f"{self.device}.{self.number}"

    @property
    def said(self) -> str:
        """Its number with its port, where it has one: ``37 (PA5)``."""
        return f"{self.number} ({self.port.raw})" if self.port and self.port.raw != self.number else self.number


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One signal that a firmware release relies on, and how it expects to find it."""

    signal: Reading = column(
        "signal,net,net name,signal name,name,label,signalname,netz,netzname,nom du signal,réseau,señal,red,信号,"
        "信号名,"
        "网络",
        cell="signal",
    )
    pin: Reading = column(
        "pin,pin number,pin no,number,package pin,port,port name,pinnummer,pinnr,anschluss,broche,patilla,引脚,引脚号",
    )
    function: Reading = column(
        "function,peripheral,peripheral function,alternate function,af,mode,funktion,fonction,función,功能",
    )
    direction: Reading = column(
        "direction,dir,i/o,io type,type,richtung,sens,dirección,sentido,方向",
        cell="direction",
    )
    active: Reading = column(
        "active,active level,polarity,active state,aktiv,aktivpegel,actif,activo,有效电平",
        cell="active",
    )
    analog: Reading = column(
        "analog,analog channel,adc channel,adc,analogue channel,analogue",
    )
    pull: Reading = column(
        "pull,pull up down,pullup,bias,pulls",
        cell="pull",
    )
    level: Reading = column(
        "level,logic level,voltage,io voltage,voltage level,pegel,spannung,niveau,tension,nivel,tensión,电平,电压",
        unit="V",
    )
    frequency: Reading = column("frequency", unit="Hz")
    note: Reading = column(
        "note,notes,remark,remarks,comment,purpose,use,description,bemerkung,anmerkung,zweck,remarque,nota,"
        "observaciones,备注",
    )
    extra: Extra = ()
    origin: Origin = field(compare=False)
