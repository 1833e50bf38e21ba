"""The trade's names for the columns of each table, in English, German, French, Spanish and Chinese.

Common practice, no source. Each field is followed by its aliases, divided by commas.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

Names = Mapping[str, str]

PARTS: Names = MappingProxyType(
    {
        "item": "item no,line,line no,row,no,nr,number,index,id,item number,line number,lfd nr,laufende nummer,"
        "n°,序号,编号",
        "designator": "designators,refdes,refdess,reference,references,reference designator,reference designators,"
        "ref,refs,ref des,component,components,parts,part reference,position,pos,bezeichner,referenz,"
        "referenzen,bauteilkennzeichen,kennzeichen,bauteile,positionen,repère,repères,référence,"
        "références,referencia,referencias,designador,designadores,位号,标号,元件位号,元件标号,"
        "参考编号",
        "quantity": "qty,count,amount,quantity per board,qty per board,quantity per pcb,quant,pcs,menge,"
        "anzahl,stück,stückzahl,quantité,qté,cantidad,cant,数量,用量",
        "value": "val,comment,nominal value,component value,resistance,capacitance,inductance,wert,nennwert,"
        "valeur,valor,值,数值,参数,阻值,容值",
        "value_code": "code,marking,marking code,aufdruck,marquage,marcado,丝印",
        "package": "footprint,case,size,case size,package size,pattern,land pattern,pcb footprint,package type,"
        "gehäuse,bauform,baugröße,gehäuseform,boîtier,empreinte,encapsulado,huella,封装,封装形式",
        "manufacturer": "mfr,mfg,maker,manufacturer name,mfr name,mfg name,brand,vendor,hersteller,fabricant,"
        "constructeur,fabricante,制造商,厂商,厂家,品牌,生产厂家",
        "part_number": "mpn,part no,part,part nr,manufacturer part number,manufacturer part,mfr part number,"
        "mfr part,mfr no,mfg part number,mfg pn,mfrpn,manufacturer pn,pn,order number,ordering code,"
        "part num,manufacturer part no,maker part number,herstellernummer,herstellerteilenummer,"
        "herstellernr,hersteller teilenr,teilenummer,artikelnummer,bestellnummer,bestellnr,"
        "référence fabricant,réf fabricant,numéro de pièce,code fabricant,número de parte,"
        "número de pieza,referencia fabricante,referencia del fabricante,型号,料号,制造商料号,制造商型号,"
        "厂商型号,厂家型号,器件型号,规格型号",
        "tolerance": "tol,toleranz,tolérance,tolerancia,精度,公差,误差",
        "voltage": "voltage rating,rated voltage,volt,volts,v rating,working voltage,max voltage,spannung,"
        "nennspannung,spannungsfestigkeit,tension,tension nominale,tensión,tensión nominal,voltaje,"
        "电压,耐压,额定电压",
        "power": "power rating,rated power,watt,watts,wattage,leistung,nennleistung,belastbarkeit,puissance,"
        "potencia,功率,额定功率",
        "current": "current rating,rated current,amps,max current,strom,nennstrom,courant,intensité,corriente,"
        "corriente nominal,电流,额定电流",
        "dielectric": "dielectric code,temperature characteristic,tempco,temp coefficient,material,dielektrikum,"
        "diélectrique,dieléctrico,介质,材质",
        "fitted": "fit,populate,populated,population,mounted,mount,placed,place,assemble,assembled,stuffed,"
        "fitted state,bestückt,bestückung,bestücken,monté,à monter,montado,montar,poblado,贴装,是否贴装",
        "not_fitted": "dnp,dni,dnf,do not place,do not fit,do not populate,do not install,not mounted,unfitted,"
        "not populated,exclude,nicht bestückt,nicht bestücken,unbestückt,non monté,ne pas monter,"
        "no montado,no montar,sin montar,不贴,不贴装,不焊",
        "alternates": "alternate,alternative,alternatives,alt,alt mpn,alternate part,alternate parts,second source,"
        "substitutes,alternate part number,alternativen,ersatztyp,ersatz,zweitquelle,équivalent,"
        "équivalents,remplacement,alternativa,alternativas,equivalente,equivalentes,替代,替代料,替代型号",
        "lifecycle": "life cycle,lifecycle state,life cycle state,lifecycle status,status,availability,"
        "part status,lebenszyklus,verfügbarkeit,cycle de vie,disponibilité,ciclo de vida,"
        "disponibilidad,生命周期,状态",
        "cost": "unit cost,price,unit price,cost each,price each,unit cost in eur,cost per unit,preis,"
        "stückpreis,einzelpreis,kosten,prix,prix unitaire,coût,precio,precio unitario,coste,costo,单价,"
        "价格",
        "currency": "cur,price currency,cost currency,währung,devise,monnaie,moneda,divisa,货币,币种",
        "description": "desc,part description,details,text,designation,beschreibung,bezeichnung,benennung,"
        "désignation,descripción,描述,说明,名称",
    }
)
PINS: Names = MappingProxyType(
    {
        "device": "controller,mcu,chip,ic,module,refdes,designator,reference,component,baustein,circuit,"
        "circuito,器件,芯片",
        "pin": "pin number,pin no,number,package pin,no,pin nr,pad,pin num,pinnummer,pinnr,anschluss,"
        "anschlussnummer,broche,numéro de broche,n° broche,patilla,número de pin,引脚,引脚号,管脚,管脚号",
        "port": "port name,pin name,gpio,port pin,pad name,portname,pinname,nom de broche,nom du port,"
        "nombre de pin,puerto,引脚名,引脚名称,管脚名称,端口",
        "signal": "net,net name,signal name,name,net label,label,signalname,netz,netzname,nom du signal,réseau,"
        "señal,nombre de señal,red,信号,信号名,信号名称,网络,网络名",
        "function": "peripheral,peripheral function,alternate function,af,mode,alt function,funktion,fonction,"
        "función,功能,复用功能",
        "direction": "dir,i/o,io type,type,pin type,electrical type,richtung,sens,dirección,sentido,方向",
        "active": "active level,polarity,active state,aktiv,aktivpegel,actif,activo,有效电平",
        "pull": "pull up down,pullup,pull resistor,bias,pu pd,pulls,pull up,pullwiderstand,tirage,上下拉,上拉下拉",
        "level": "logic level,voltage,io voltage,voltage level,io level,domain,pegel,spannung,niveau,tension,"
        "nivel,tensión,电平,电压",
        "resistance": "series resistance,series resistor,rs,series r,serienwiderstand,résistance série,"
        "resistencia serie,串联电阻",
        "tolerant": "5v tolerant,5v tolerance,tolerance,tolerant to 5v,ft",
        "analog": "analog channel,adc channel,adc,analogue channel,analogue,analogkanal,voie analogique,"
        "canal analógico,模拟通道",
        "interrupt": "interrupt line,irq,exti,irq line,int,interrupteingang,interruption,interrupción,中断",
        "address": "addr,bus address,i2c address,adresse,dirección i2c,地址",
        "purpose": "use,usage,used as,used for,description,what for,comment,zweck,verwendung,beschreibung,"
        "utilisation,uso,descripción,用途,说明,描述",
        "note": "notes,remark,remarks,bemerkung,bemerkungen,anmerkung,anmerkungen,remarque,remarques,"
        "commentaire,nota,notas,observaciones,comentario,备注,注释",
    }
)
CONTACTS: Names = MappingProxyType(
    {
        "connector": "conn,header,refdes,designator,reference,plug,socket,connector name,stecker,steckverbinder,"
        "buchse,stiftleiste,connecteur,conector,连接器,接插件",
        "contact": "pin,pin number,contact number,number,no,position,pos,pin no,contact no,way,kontakt,"
        "kontaktnr,kontaktnummer,pinnummer,pinnr,broche,numéro de broche,contacto,patilla,触点,引脚,引脚号,"
        "针脚,脚位",
        "signal": "net,net name,signal name,name,net label,label,signalname,netz,netzname,nom du signal,réseau,"
        "señal,nombre de señal,red,信号,信号名,信号名称,网络,网络名",
        "direction": "dir,i/o,io type,type,electrical type,richtung,sens,dirección,sentido,方向",
        "level": "voltage,logic level,voltage level,io level,pegel,spannung,niveau,tension,nivel,tensión,电平,电压",
        "current": "max current,current rating,load current,imax,amps,strom,courant,corriente,电流",
        "function": "use,purpose,description,peripheral,funktion,fonction,función,beschreibung,descripción,功能,用途,"
        "说明,描述",
        "note": "notes,remark,remarks,comment,bemerkung,bemerkungen,anmerkung,remarque,commentaire,nota,"
        "observaciones,comentario,备注,注释",
    }
)
CONNECTORS: Names = MappingProxyType(
    {
        "connector": "conn,header,refdes,designator,reference,connector name,name,stecker,steckverbinder,"
        "connecteur,conector,连接器,接插件,位号",
        "role": "use,kind,purpose,side,rolle,verwendung,rôle,función,用途",
        "count": "contacts,contact count,positions,ways,pins,pin count,number of contacts,no of contacts,"
        "poles,kontakte,polzahl,kontaktzahl,nombre de contacts,nombre de broches,contactos,"
        "número de contactos,触点数,针数",
        "rows": "row count,number of rows,row,reihen,reihenzahl,rangées,filas,排数",
        "pitch": "contact pitch,spacing,raster,rastermaß,pas,paso,间距",
        "gender": "sex,male female,m/f,polarity,geschlecht,genre,género,公母",
        "height": "mated height,stack height,stacking height,mating height,board distance,höhe,stapelhöhe,"
        "hauteur,altura,高度",
        "x": "pos x,x position,position x,center x,centre x",
        "y": "pos y,y position,position y,center y,centre y",
        "rotation": "rot,angle,orientation,drehung,winkel,rotación,角度",
        "rating": "current rating,rating per contact,contact rating,current per contact,max current,"
        "strombelastbarkeit,nennstrom,courant nominal,corriente nominal,额定电流",
        "part_number": "mpn,part number,part no,manufacturer part number,ordering code,order number,part,"
        "bestellnummer,teilenummer,herstellernummer,référence fabricant,número de parte,型号,料号",
        "note": "notes,remark,remarks,comment,description,bemerkung,bemerkungen,anmerkung,remarque,"
        "commentaire,nota,observaciones,备注",
    }
)
NEEDS: Names = MappingProxyType(
    {
        "signal": "net,net name,signal name,name,label,signalname,netz,netzname,nom du signal,réseau,señal,red,"
        "信号,信号名,网络",
        "pin": "pin number,pin no,number,package pin,port,port name,pinnummer,pinnr,anschluss,broche,"
        "patilla,引脚,引脚号",
        "function": "peripheral,peripheral function,alternate function,af,mode,funktion,fonction,función,功能",
        "direction": "dir,i/o,io type,type,richtung,sens,dirección,sentido,方向",
        "active": "active level,polarity,active state,aktiv,aktivpegel,actif,activo,有效电平",
        "analog": "analog channel,adc channel,adc,analogue channel,analogue",
        "pull": "pull up down,pullup,bias,pulls",
        "level": "logic level,voltage,io voltage,voltage level,pegel,spannung,niveau,tension,nivel,tensión,电平,电压",
        "note": "notes,remark,remarks,comment,purpose,use,description,bemerkung,anmerkung,zweck,remarque,"
        "nota,observaciones,备注",
    }
)
JOINTS: Names = MappingProxyType(
    {
        "board_a": "board 1,lower board,from board,first board",
        "connector_a": "connector 1,lower connector,from connector,first connector",
        "board_b": "board 2,upper board,to board,second board",
        "connector_b": "connector 2,upper connector,to connector,second connector",
        "contacts": "contact order,pairing,mating,contact pairing,order",
    }
)
